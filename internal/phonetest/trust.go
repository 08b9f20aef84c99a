//go:build unix

package phonetest

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"coldbatch/internal/need"

	"github.com/chromedp/chromedp"
)

// TrustingBrowser starts a browser that trusts the authority in the file ca, as the
// joining page has people do it, and that finds coldbatch.local on this computer.
func TrustingBrowser(t *testing.T, ca string) context.Context {
	t.Helper()
	return launchWithHome(t, headlessNames, ca)
}

// TrustingChromium is TrustingBrowser with windows and warnings as people have them. Without
// ca it is the browser of a phone that never trusted this hub.
func TrustingChromium(t *testing.T, ca string) context.Context {
	t.Helper()
	return launchWithHome(t, chromiumNames, ca)
}

// launchWithHome starts a browser with a home of its own, whose store of authorities has ca.
func launchWithHome(t *testing.T, names []string, ca string) context.Context {
	t.Helper()
	need.Program(t, names...)
	home := t.TempDir()
	if ca != "" {
		store := filepath.Join(home, ".pki", "nssdb")
		if err := os.MkdirAll(store, 0o700); err != nil {
			t.Fatal(err)
		}
		certutil(t, "-d", "sql:"+store, "-N", "--empty-password")
		certutil(t, "-d", "sql:"+store, "-A", "-t", "C,,", "-n", "coldbatch", "-i", ca)
	}
	browser, stop, err := launchBrowser(names, chromedp.Env("HOME="+home), chromedp.Flag("host-resolver-rules", "MAP coldbatch.local 127.0.0.1"))
	t.Cleanup(stop)
	if err != nil {
		t.Fatal(err)
	}
	return browser
}

// certutil runs the tool that tells Chromium on Linux which authorities to trust.
func certutil(t *testing.T, args ...string) {
	t.Helper()
	path := need.Program(t, "certutil") // of Debian's libnss3-tools
	if out, err := exec.Command(path, args...).CombinedOutput(); err != nil {
		t.Fatalf("certutil %v: %v\n%s", args, err, out)
	}
}
