package lan

import (
	"crypto/x509"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/need"
)

// runProgram returns what a program prints, and whether it succeeded.
func runProgram(t *testing.T, name string, args ...string) (string, bool) {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	return string(out), err == nil
}

// OpenSSL, which is not of Go, finds the same as crypto/x509.
func TestOpenSSL(t *testing.T) {
	need.Program(t, "openssl")
	dir := t.TempDir()
	a := mustOpenAuthority(t, dir, time.Now, Options{Machine: "kitchen"})
	mustOpenLeaf(t, a, fixedAddresses("192.168.1.20", "fd00::20"))
	ca, leaf := filepath.Join(dir, caCertFile), filepath.Join(dir, leafCertFile)
	check := func(want bool, args ...string) {
		t.Helper()
		args = append([]string{"verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", ca}, args...)
		if out, ok := runProgram(t, "openssl", args...); ok != want {
			t.Errorf("openssl %v: %s", args, out)
		}
	}
	for _, name := range a.names.DNSNames() {
		check(true, "-verify_hostname", name, leaf)
	}
	for _, ip := range []string{"127.0.0.1", "::1", "192.168.1.20", "fd00::20"} {
		check(true, "-verify_ip", ip, leaf)
	}
	check(false, "-verify_hostname", "evil.example", leaf)
	check(false, "-verify_ip", "192.168.1.21", leaf)
	if out, ok := runProgram(t, "openssl", "verify", "-x509_strict", "-check_ss_sig", "-CAfile", ca, ca); !ok {
		t.Errorf("openssl on the authority: %s", out)
	}
	for _, row := range []struct {
		name, address string
		ok            bool
	}{{host, "192.168.7.7", true}, {"evil.example", "192.168.7.7", false}, {host, "203.0.113.7", false}, {host, "2001:db8::7", false}} {
		path := filepath.Join(dir, "other.crt")
		if err := writeCert(path, issueCertificate(t, a, row.name, row.address).Raw); err != nil {
			t.Fatal(err)
		}
		if out, ok := runProgram(t, "openssl", "verify", "-CAfile", ca, path); ok != row.ok {
			t.Errorf("openssl on one for %s and %s: %s", row.name, row.address, out)
		}
	}
	for _, row := range []struct {
		why, purpose string
		change       func(*x509.Certificate)
	}{
		{"a mail address", "sslserver", func(c *x509.Certificate) { c.EmailAddresses = []string{"someone@evil.example"} }},
		{"the address of a page", "sslserver", func(c *x509.Certificate) { c.URIs = []*url.URL{{Scheme: "https", Host: "evil.example"}} }},
		{"a client", "sslclient", func(c *x509.Certificate) { c.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth} }},
		{"mail", "smimesign", func(c *x509.Certificate) { c.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageEmailProtection} }},
	} {
		path := filepath.Join(dir, "other.crt")
		if err := writeCert(path, issueCertificate(t, a, host, "192.168.7.7", row.change).Raw); err != nil {
			t.Fatal(err)
		}
		if out, ok := runProgram(t, "openssl", "verify", "-purpose", row.purpose, "-CAfile", ca, path); ok {
			t.Errorf("openssl takes the authority for %s: %s", row.why, out)
		}
	}
	out, _ := runProgram(t, "openssl", "x509", "-in", ca, "-noout", "-fingerprint", "-sha256")
	if _, print, _ := strings.Cut(strings.TrimSpace(out), "="); print != a.Fingerprint() {
		t.Errorf("openssl says %s, we %s", print, a.Fingerprint())
	}
	out, _ = runProgram(t, "openssl", "pkey", "-in", filepath.Join(dir, caKeyFile), "-noout", "-text")
	if !strings.Contains(out, "prime256v1") {
		t.Errorf("openssl reads the key as %s", out)
	}
}

// curl reaches the hub by its name and by its address when it trusts the
// authority, and not when it does not.
func TestCurl(t *testing.T) {
	need.Program(t, "curl")
	dir := t.TempDir()
	l := mustOpenLeaf(t, mustOpenAuthority(t, dir, time.Now, Options{}), fixedAddresses())
	_, port, err := net.SplitHostPort(serveTLS(t, l.GetCertificate))
	if err != nil {
		t.Fatal(err)
	}
	args := func(name string, more ...string) []string {
		return append([]string{"-sS", "--noproxy", "*", "--max-time", "10", "--resolve", name + ":" + port + ":127.0.0.1", "https://" + name + ":" + port + "/"}, more...)
	}
	ca := filepath.Join(dir, caCertFile)
	for _, name := range []string{host, "coldbatch.home.arpa", "localhost", "127.0.0.1"} {
		if out, ok := runProgram(t, "curl", args(name, "--cacert", ca)...); !ok || out != "hello" {
			t.Errorf("%s: %s", name, out)
		}
	}
	for _, row := range []struct {
		why  string
		args []string
	}{
		{"a name that is not the hub's", args("evil.example", "--cacert", ca)},
		{"without the authority", args(host)},
	} {
		if out, ok := runProgram(t, "curl", row.args...); ok {
			t.Errorf("%s: %s", row.why, out)
		}
	}
}

// TestForLint writes certificates for .ci/run to have them looked through by a
// program that knows the standards: COLDBATCH_CERTIFICATES is the folder.
func TestForLint(t *testing.T) {
	dir := os.Getenv("COLDBATCH_CERTIFICATES")
	if dir == "" {
		t.Skip("COLDBATCH_CERTIFICATES names no folder to write to")
	}
	for name, a := range map[string]*Authority{
		"usual":     mustOpenAuthority(t, filepath.Join(dir, "usual"), time.Now, Options{Machine: "kitchen"}),
		"unlimited": mustOpenAuthority(t, filepath.Join(dir, "unlimited"), time.Now, Options{Unconstrained: true}),
	} {
		if _, err := a.Leaf(fixedAddresses("192.168.1.20", "10.0.0.20", "169.254.20.20", "fd00::20", "fe80::20")); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	long := Names{strings.Repeat("long-name-", 5) + "2345.local"}
	a, err := OpenAuthority(filepath.Join(dir, "long"), long, time.Now, Options{Machine: strings.Repeat("kitchen", 9)})
	if err != nil {
		t.Fatal(err)
	}
	mustOpenLeaf(t, a, fixedAddresses())
}
