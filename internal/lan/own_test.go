package lan

import (
	"crypto/rand"
	"crypto/x509"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/fault"
)

// writeCertificatePair writes a certificate of somebody's and its key and returns it.
func writeCertificatePair(t *testing.T, dir string, names []string, from, to time.Time) *x509.Certificate {
	t.Helper()
	key, err := newKey()
	if err != nil {
		t.Fatal(err)
	}
	c := &x509.Certificate{NotBefore: from, NotAfter: to, DNSNames: names}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	if err := writeKey(filepath.Join(dir, "own.key"), key); err != nil {
		t.Fatal(err)
	}
	if err := writeCert(filepath.Join(dir, "own.crt"), der); err != nil {
		t.Fatal(err)
	}
	c, err = x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func openTestCertificate(dir string, now func() time.Time) (*OwnCertificate, error) {
	return OpenOwnCertificate(filepath.Join(dir, "own.crt"), filepath.Join(dir, "own.key"), "dye.example.org", now)
}

func TestOwn(t *testing.T) {
	from, to := noon.Add(-day), noon.Add(30*day)
	for _, row := range []struct {
		why   string
		names []string
		now   time.Time
		spoil func(dir string) error
		want  fault.Code
	}{
		{"the name itself", []string{"dye.example.org"}, noon, nil, ""},
		{"any name of the domain", []string{"*.example.org"}, noon, nil, ""},
		{"another name", []string{"other.example.org"}, noon, nil, fault.Input},
		{"the domain alone", []string{"example.org"}, noon, nil, fault.Input},
		{"its time is over", []string{"dye.example.org"}, to.Add(time.Second), nil, fault.Conflict},
		{"its time has not come", []string{"dye.example.org"}, from.Add(-time.Second), nil, fault.Conflict},
		{"no certificate", []string{"dye.example.org"}, noon, func(d string) error { return os.Remove(filepath.Join(d, "own.crt")) }, fault.NotFound},
		{"no key", []string{"dye.example.org"}, noon, func(d string) error { return os.Remove(filepath.Join(d, "own.key")) }, fault.NotFound},
		{"half a key", []string{"dye.example.org"}, noon, func(d string) error { return os.Truncate(filepath.Join(d, "own.key"), 100) }, fault.Input},
		{"another's key", []string{"dye.example.org"}, noon, func(d string) error {
			key, err := newKey()
			if err != nil {
				return err
			}
			return writeKey(filepath.Join(d, "own.key"), key)
		}, fault.Input},
		{"a folder in place of the key", []string{"dye.example.org"}, noon, func(d string) error {
			os.Remove(filepath.Join(d, "own.key"))
			return os.Mkdir(filepath.Join(d, "own.key"), 0o700)
		}, fault.Unavailable},
	} {
		dir := t.TempDir()
		want := writeCertificatePair(t, dir, row.names, from, to)
		if row.spoil != nil {
			if err := row.spoil(dir); err != nil {
				t.Fatal(err)
			}
		}
		o, err := openTestCertificate(dir, clockAt(row.now))
		if row.want != "" {
			if !fault.Is(err, row.want) {
				t.Errorf("%s: %v, want %s", row.why, err, row.want)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		if c, err := o.GetCertificate(nil); err != nil || !c.Leaf.Equal(want) {
			t.Errorf("%s: another is shown, %v", row.why, err)
		}
	}
}

// Its program renews it, mostly one file after the other: the next handshake
// shows the new one, and in between the old.
func TestOwnIsReadAgain(t *testing.T) {
	dir := t.TempDir()
	from, to := noon.Add(-day), noon.Add(30*day)
	names := []string{"dye.example.org"}
	first := writeCertificatePair(t, dir, names, from, to)
	o, err := openTestCertificate(dir, clockAt(noon))
	if err != nil {
		t.Fatal(err)
	}
	shows := func(want *x509.Certificate, when string) {
		t.Helper()
		if c, err := o.GetCertificate(nil); err != nil || !c.Leaf.Equal(want) {
			t.Errorf("%s: the wrong one is shown, %v", when, err)
		}
	}
	shows(first, "at first")
	next := t.TempDir()
	second := writeCertificatePair(t, next, names, from, to.Add(90*day))
	move := func(name string) {
		t.Helper()
		if err := os.Rename(filepath.Join(next, name), filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	move("own.crt")
	shows(first, "with one file renewed")
	if err := o.Refresh(); !fault.Is(err, fault.Input) {
		t.Errorf("with one file renewed: %v", err)
	}
	move("own.key")
	shows(second, "with both renewed")
	if err := o.Refresh(); err != nil {
		t.Error(err)
	}
	writeCertificatePair(t, dir, []string{"other.example.org"}, from, to)
	shows(second, "with one for another name")
	if err := o.Refresh(); err == nil || !strings.Contains(err.Error(), "dye.example.org") {
		t.Errorf("with one for another name: %v", err)
	}
	if err := os.Remove(filepath.Join(dir, "own.crt")); err != nil {
		t.Fatal(err)
	}
	shows(second, "with a file gone")
}
