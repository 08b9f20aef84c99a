//go:build unix

package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"coldbatch/internal/need"

	"github.com/chromedp/chromedp"
)

// trusting starts a browser whose owner put the authority in the file ca into the
// store of certificates, as the joining page says, and for whom the network finds
// the house's name. Without ca it is a phone that was only just brought in.
func trusting(t *testing.T, ca string) context.Context {
	t.Helper()
	needBrowser(t)
	home := t.TempDir()
	if ca != "" {
		store := filepath.Join(home, ".pki", "nssdb")
		if err := os.MkdirAll(store, 0o700); err != nil {
			t.Fatal(err)
		}
		certutil(t, "-d", "sql:"+store, "-N", "--empty-password")
		certutil(t, "-d", "sql:"+store, "-A", "-t", "C,,", "-n", "coldbatch", "-i", ca)
	}
	ctx, err := launch(chromedp.Env("HOME="+home), chromedp.Flag("host-resolver-rules", "MAP coldbatch.local 127.0.0.1"))
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// certutil runs the tool by which Chromium on Linux is told whom to trust.
func certutil(t *testing.T, args ...string) {
	t.Helper()
	path := need.Program(t, "certutil") // of Debian's libnss3-tools
	if out, err := exec.Command(path, args...).CombinedOutput(); err != nil {
		t.Fatalf("certutil %v: %v\n%s", args, err, out)
	}
}
