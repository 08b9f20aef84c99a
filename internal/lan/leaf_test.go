package lan

import (
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// fixedAddresses returns addresses that do not change.
func fixedAddresses(list ...string) func() []netip.Addr {
	var out []netip.Addr
	for _, a := range list {
		out = append(out, netip.MustParseAddr(a))
	}
	return func() []netip.Addr { return out }
}

func mustOpenLeaf(t testing.TB, a *Authority, addresses func() []netip.Addr) *Leaf {
	t.Helper()
	l, err := a.Leaf(addresses)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func (l *Leaf) servedCertificate() *x509.Certificate { return l.current.Load().Leaf }

// What phones ask of a certificate: Apple, "Requirements for trusted certificates
// in iOS 13 and macOS 10.15"; and the 398 days of "About upcoming limits on
// trusted certificates", less one.
func TestLeaf(t *testing.T) {
	a := mustOpenAuthority(t, t.TempDir(), clockAt(noon), Options{})
	c := mustOpenLeaf(t, a, fixedAddresses("192.168.1.20", "fd00::20", "fe80::20")).servedCertificate()
	for _, name := range []string{host, "coldbatch.home.arpa", "localhost", "192.168.1.20", "fd00::20", "fe80::20", "127.0.0.1", "::1"} {
		for _, when := range []time.Time{noon, noon.Add(-29 * day), noon.Add(364 * day)} {
			if err := verifyLeaf(a, c, when, name); err != nil {
				t.Errorf("%s at %s: %v", name, when, err)
			}
		}
	}
	if err := verifyLeaf(a, c, noon, "192.168.1.21"); err == nil {
		t.Error("it is for an address that the machine does not have")
	}
	if d := c.NotAfter.Sub(c.NotBefore) + time.Second; d > 397*day {
		t.Errorf("it lasts %s", d)
	}
	if len(c.ExtKeyUsage) != 1 || c.ExtKeyUsage[0] != x509.ExtKeyUsageServerAuth || c.KeyUsage != x509.KeyUsageDigitalSignature || c.IsCA {
		t.Errorf("it may be used for %v, %v, authority %v", c.ExtKeyUsage, c.KeyUsage, c.IsCA)
	}
	if c.SerialNumber.BitLen() < 64 || string(c.AuthorityKeyId) != string(a.cert.SubjectKeyId) || len(c.SubjectKeyId) != 20 {
		t.Errorf("serial number %x, of %x, key %x", c.SerialNumber, c.AuthorityKeyId, c.SubjectKeyId)
	}
}

// fakeClock is a clock that is set.
type fakeClock struct{ atomic.Int64 }

func (c *fakeClock) now() time.Time  { return time.Unix(c.Load(), 0) }
func (c *fakeClock) set(t time.Time) { c.Store(t.Unix()) }

func TestLeafIsRenewed(t *testing.T) {
	var c fakeClock
	c.set(noon)
	dir := t.TempDir()
	l := mustOpenLeaf(t, mustOpenAuthority(t, dir, c.now, Options{}), fixedAddresses("192.168.1.20"))
	first := l.servedCertificate()
	third := first.NotAfter.Add(-132*day + time.Second)
	for _, row := range []struct {
		why   string
		now   time.Time
		again bool
	}{
		{"a minute later", noon.Add(time.Minute), false},
		{"more than a third is left", third.Add(-3 * time.Second), false},
		{"a third is left", third, true},
		{"a year was slept", noon.AddDate(3, 0, 0), true},
		{"the clock was set back by a week, which is within what it counts from", noon.AddDate(3, 0, -7), false},
		{"the clock ran ahead by two years", noon.AddDate(1, 0, 0), true},
		{"the battery of the clock is empty: it has no say", time.Unix(0, 0), false},
	} {
		c.set(row.now)
		before := l.servedCertificate()
		got, err := l.GetCertificate(nil)
		if err != nil {
			t.Fatal(err)
		}
		if (got.Leaf != before) != row.again {
			t.Errorf("%s: made anew %v, want %v", row.why, got.Leaf != before, row.again)
		}
	}
	c.set(noon.AddDate(1, 0, 0))
	if opened := mustOpenLeaf(t, mustOpenAuthority(t, dir, c.now, Options{}), fixedAddresses("192.168.1.20")); !opened.servedCertificate().Equal(l.servedCertificate()) {
		t.Error("a restart made another")
	}
}

// A board without a clock of its own: at first it shows what no phone can take;
// from when the clock is right, what they can. At its next start, when it stands
// in the past again, the certificate that serves is kept.
func TestLeafOfAWrongClock(t *testing.T) {
	var c fakeClock
	c.set(time.Unix(100, 0))
	dir := t.TempDir()
	a := mustOpenAuthority(t, dir, c.now, Options{})
	l := mustOpenLeaf(t, a, fixedAddresses("192.168.1.20"))
	c.set(noon)
	got, err := l.GetCertificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := verifyLeaf(a, got.Leaf, noon, host); err != nil {
		t.Errorf("with the clock put right: %v", err)
	}
	c.set(time.Unix(200, 0))
	a = mustOpenAuthority(t, dir, c.now, Options{})
	l = mustOpenLeaf(t, a, fixedAddresses("192.168.1.20"))
	if !l.servedCertificate().Equal(got.Leaf) {
		t.Error("a start in the past replaced the certificate that serves")
	}
	// The address changed meanwhile: the new one must serve today's phones.
	l = mustOpenLeaf(t, a, fixedAddresses("192.168.1.33"))
	if err := verifyLeaf(a, l.servedCertificate(), noon, "192.168.1.33"); err != nil {
		t.Errorf("made in the past for a new address: %v", err)
	}
}

// Whatever the clock did before, from when it is right phones take what is shown.
func TestLeafHolds(t *testing.T) {
	dir := t.TempDir()
	var c fakeClock
	c.set(noon)
	a := mustOpenAuthority(t, dir, c.now, Options{})
	rapid.Check(t, func(t *rapid.T) {
		var has []netip.Addr
		l := &Leaf{authority: a, addresses: func() []netip.Addr { return has }}
		for range rapid.IntRange(1, 6).Draw(t, "steps") {
			c.set(time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "clock"), 0))
			has = nil
			for range rapid.IntRange(0, 3).Draw(t, "addresses") {
				has = append(has, netip.AddrFrom4([4]byte{10, 0, 0, byte(rapid.IntRange(1, 9).Draw(t, "address"))}))
			}
			if err := l.Refresh(); err != nil && !c.now().After(a.ExpiresAt()) {
				t.Fatal(err)
			}
		}
		right := noon.Add(time.Duration(rapid.IntRange(0, 3000).Draw(t, "day")) * day)
		c.set(right)
		if err := l.Refresh(); err != nil {
			t.Fatal(err)
		}
		for _, name := range append(a.names.DNSNames(), addressTexts(has)...) {
			if err := verifyLeaf(a, l.servedCertificate(), right, name); err != nil {
				t.Fatalf("%s at %s: %v", name, right, err)
			}
		}
		if d := l.servedCertificate().NotAfter.Sub(right); d < leafLifetime/3-2*time.Second {
			t.Fatalf("only %s are left", d)
		}
	})
}

func addressTexts(list []netip.Addr) (out []string) {
	for _, a := range list {
		out = append(out, a.String())
	}
	return out
}

// A lost or damaged leaf is replaced silently.
func TestLeafDamaged(t *testing.T) {
	dir := t.TempDir()
	a := mustOpenAuthority(t, dir, clockAt(noon), Options{})
	other := t.TempDir()
	mustOpenLeaf(t, mustOpenAuthority(t, other, clockAt(noon), Options{}), fixedAddresses("192.168.1.20"))
	spoil := map[string]func(path string) error{
		"gone":      os.Remove,
		"empty":     func(p string) error { return os.Truncate(p, 0) },
		"half":      func(p string) error { return os.Truncate(p, 100) },
		"of others": func(p string) error { return os.Chmod(p, 0o646) },
		"of another": func(p string) error {
			b, err := os.ReadFile(filepath.Join(other, filepath.Base(p)))
			if err != nil {
				return err
			}
			return os.WriteFile(p, b, 0o600)
		},
	}
	for _, name := range []string{leafKeyFile, leafCertFile} {
		for why, do := range spoil {
			before := mustOpenLeaf(t, a, fixedAddresses("192.168.1.20")).servedCertificate()
			if err := do(filepath.Join(dir, name)); err != nil {
				t.Fatal(err)
			}
			l := mustOpenLeaf(t, a, fixedAddresses("192.168.1.20"))
			if err := verifyLeaf(a, l.servedCertificate(), noon, host); err != nil {
				t.Errorf("%s %s: %v", name, why, err)
			}
			if harmless := name == leafCertFile && why == "of others"; l.servedCertificate().Equal(before) != harmless {
				t.Errorf("%s %s: kept %v", name, why, !harmless)
			}
			if again := mustOpenLeaf(t, a, fixedAddresses("192.168.1.20")); !again.servedCertificate().Equal(l.servedCertificate()) {
				t.Errorf("%s %s: the new one was not kept", name, why)
			}
		}
	}
}

// A disk that is full keeps no phone out: the new leaf is shown, and kept when
// there is room.
func TestLeafWithoutADisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	a := mustOpenAuthority(t, dir, clockAt(noon), Options{})
	has := fixedAddresses("192.168.1.20")
	l := mustOpenLeaf(t, a, func() []netip.Addr { return has() })
	// A file where the folder was: nothing can be written there, by root neither.
	if err := os.Rename(dir, dir+".away"); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(dir, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	has = fixedAddresses("192.168.1.21")
	for range 2 {
		if err := l.Refresh(); err == nil {
			t.Error("nothing was said of the disk")
		}
	}
	c, err := l.GetCertificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := verifyLeaf(a, c.Leaf, noon, "192.168.1.21"); err != nil {
		t.Error(err)
	}
	if err := os.Remove(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(dir+".away", dir); err != nil {
		t.Fatal(err)
	}
	if err := l.Refresh(); err != nil {
		t.Fatal(err)
	}
	if opened := mustOpenLeaf(t, a, fixedAddresses("192.168.1.21")); !opened.servedCertificate().Equal(c.Leaf) {
		t.Error("with the disk back, it was not kept")
	}
}

// serveTLS serves https on loopback, says hello, and returns its address.
func serveTLS(t *testing.T, get func(*tls.ClientHelloInfo) (*tls.Certificate, error)) string {
	t.Helper()
	l, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{GetCertificate: get})
	if err != nil {
		t.Fatal(err)
	}
	s := &http.Server{
		Handler:  http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "hello") }),
		ErrorLog: log.New(io.Discard, "", 0),
	}
	go s.Serve(l)
	t.Cleanup(func() { s.Close() })
	return l.Addr().String()
}

// fetchCertificate asks the server as a phone that trusts the authority, by that name, and
// returns the certificate it was shown.
func fetchCertificate(a *Authority, address, name string, now time.Time) (*x509.Certificate, error) {
	roots := x509.NewCertPool()
	roots.AppendCertsFromPEM(a.PEM())
	c, err := tls.Dial("tcp", address, &tls.Config{RootCAs: roots, ServerName: name, Time: clockAt(now)})
	if err != nil {
		return nil, err
	}
	defer c.Close()
	return c.ConnectionState().PeerCertificates[0], nil
}

// The server is never restarted: what changes is shown from the next handshake on.
func TestHotReload(t *testing.T) {
	var c fakeClock
	c.set(noon)
	a := mustOpenAuthority(t, t.TempDir(), c.now, Options{})
	has := fixedAddresses("192.168.1.20")
	l := mustOpenLeaf(t, a, func() []netip.Addr { return has() })
	s := serveTLS(t, l.GetCertificate)
	first, err := fetchCertificate(a, s, host, noon)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fetchCertificate(a, s, "192.168.1.99", noon); err == nil {
		t.Error("an address that is not the machine's was vouched for")
	}
	has = fixedAddresses("192.168.1.99", "fd00::99")
	if err := l.Refresh(); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"192.168.1.99", "fd00::99", host, "127.0.0.1"} {
		c, err := fetchCertificate(a, s, name, noon)
		if err != nil || c.Equal(first) {
			t.Errorf("%s after the address changed: %v", name, err)
		}
	}
	// Months later, with nobody having called Refresh.
	now := noon.AddDate(2, 0, 0)
	c.set(now)
	if _, err := fetchCertificate(a, s, host, now); err != nil {
		t.Errorf("after two years: %v", err)
	}
}

// connAt is a connection to an address of this machine.
type connAt struct {
	net.Conn
	local string
}

func (p connAt) LocalAddr() net.Addr {
	return net.TCPAddrFromAddrPort(netip.MustParseAddrPort(p.local))
}

// A phone that comes by the new address before anyone looked gets a leaf for it.
func TestLeafForTheAddressAskedOn(t *testing.T) {
	a := mustOpenAuthority(t, t.TempDir(), clockAt(noon), Options{})
	has := fixedAddresses("192.168.1.20")
	l := mustOpenLeaf(t, a, func() []netip.Addr { return has() })
	has = fixedAddresses("192.168.1.20", "192.168.1.99", "fe80::99")
	for _, row := range []struct {
		local, name string
		again       bool
	}{
		{"192.168.1.20:8443", "192.168.1.20", false},
		{"203.0.113.5:8443", host, false}, // forwarded from outside: it is never vouched for
		{"192.168.1.99:8443", "192.168.1.99", true},
		{"[fe80::99%eth0]:8443", "fe80::99", false}, // came with the one before
		{"[::ffff:192.168.1.99]:8443", "192.168.1.99", false},
		{"10.9.9.9:8443", host, false}, // not among the machine's: nothing is made, however often
	} {
		before := l.servedCertificate()
		c, err := l.GetCertificate(&tls.ClientHelloInfo{Conn: connAt{local: row.local}})
		if err != nil {
			t.Fatal(err)
		}
		if (c.Leaf != before) != row.again {
			t.Errorf("%s: made anew %v", row.local, !row.again)
		}
		if err := verifyLeaf(a, c.Leaf, noon, row.name); err != nil {
			t.Errorf("%s: %v", row.local, err)
		}
	}
}

// Many handshakes at once make one new leaf.
func TestLeafMadeOnce(t *testing.T) {
	var c fakeClock
	c.set(noon)
	l := mustOpenLeaf(t, mustOpenAuthority(t, t.TempDir(), c.now, Options{}), fixedAddresses("192.168.1.20"))
	c.set(noon.AddDate(1, 0, 0))
	var all sync.Map
	var wait sync.WaitGroup
	for range 20 {
		wait.Go(func() {
			got, err := l.GetCertificate(nil)
			if err != nil {
				t.Error(err)
				return
			}
			all.Store(string(got.Leaf.Raw), true)
		})
	}
	wait.Wait()
	n := 0
	all.Range(func(any, any) bool { n++; return true })
	if n != 1 {
		t.Errorf("%d leaves were shown", n)
	}
	if files := folderContents(t, l.authority.dir); strings.Contains(files, ".new-") {
		t.Error("something was left of the writing")
	}
}
