package lan

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"fmt"
	"net"
	"path/filepath"
	"strings"
	"time"

	"coldbatch/internal/fault"
)

// The files of the authority. The key is never sent anywhere.
const (
	caKeyFile  = "ca.key"
	caCertFile = "ca.crt"
)

// minClock is the earliest time that a correct clock can show. A board without a
// battery-backed clock starts in the past until it gets the time from the network.
var minClock = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// permittedRanges are the only addresses that the authority's certificates may name: RFC
// 1918, 3927, 1122 (loopback), 4193, 4291.
var permittedRanges = parseNetworks("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
	"fc00::/7", "fe80::/10", "::1/128")

// unusedDomain is the only one whose mail addresses and pages the authority vouches for.
// It exists nowhere: RFC 2606, section 2. To permit it excludes all others; programs disagree
// on how to exclude all without permitting one.
const unusedDomain = "nobody.invalid"

func parseNetworks(list ...string) []*net.IPNet {
	var out []*net.IPNet
	for _, text := range list {
		if _, n, err := net.ParseCIDR(text); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// Options configure a new authority.
type Options struct {
	Machine       string // part of the authority's name, to tell two of them apart; may be empty
	Unconstrained bool   // without name constraints, for a phone that refuses a constrained authority
}

// Authority is the certificate authority of one hub, which a phone is asked to trust. It
// is limited to web servers with the hub's names and with addresses of home networks. An
// authority of an earlier version has no limits on mail, page addresses and purposes.
type Authority struct {
	dir   string
	names Names
	now   func() time.Time
	key   *ecdsa.PrivateKey
	cert  *x509.Certificate
}

// OpenAuthority opens the authority in the folder dir, and creates it the first time.
// From then on its names are fixed: another host is fault.Conflict. An expired authority
// opens, but CheckValidity returns a fault. A damaged file, or a key that other users can
// read, is fault.Damaged. Such files stay as they are, because every phone would have to
// trust a new authority, and that is for the owner to decide.
func OpenAuthority(dir string, names Names, now func() time.Time, o Options) (*Authority, error) {
	if host, err := ReadHost(names.Host); err != nil {
		return nil, err
	} else if host != names.Host {
		return nil, fault.New(fault.Input, "%q is not how the hub writes its name", names.Host).WithHint("%s", host)
	}
	a := &Authority{dir: dir, names: names, now: now}
	keyPath, certPath := filepath.Join(dir, caKeyFile), filepath.Join(dir, caCertFile)
	hasKey, hasCert := fileExists(keyPath), fileExists(certPath)
	if !hasKey && hasCert {
		return nil, fault.New(fault.Damaged, "the key of the certificate authority, %s, is missing", keyPath).WithHint(repairHint, keyPath, certPath)
	}
	var err error
	if hasKey {
		a.key, err = readKey(keyPath)
	} else if a.key, err = newKey(); err == nil {
		err = writeKey(keyPath, a.key)
	}
	if err != nil {
		return nil, err
	}
	if !hasCert {
		// The first time, or the program ended between the two files. With the
		// same key, a phone that trusts the earlier certificate trusts this one.
		if err := a.create(certPath, o); err != nil {
			return nil, err
		}
	}
	if a.cert, err = readCert(certPath); err != nil {
		return nil, err
	}
	return a, a.check(keyPath, certPath)
}

// repairHint says how to repair the files or start again.
const repairHint = "restore both from a backup, or delete %s and %s; then every phone must trust the new authority"

// create writes a new certificate for the authority's key.
func (a *Authority) create(path string, o Options) error {
	public, err := x509.MarshalPKIXPublicKey(&a.key.PublicKey)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(public)
	from := laterOf(a.now(), minClock)
	c := &x509.Certificate{
		Subject: pkix.Name{CommonName: commonName(o.Machine, hex.EncodeToString(sum[:4]))},
		// From minClock on, whatever the clock says, as it may be set right later.
		NotBefore:             minClock,
		NotAfter:              from.AddDate(10, 0, 0),
		BasicConstraintsValid: true,
		IsCA:                  true,
		MaxPathLenZero:        true,
		KeyUsage:              x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		// RFC 5280 gives the purpose in an authority no meaning for those below it; in
		// practice every verifier demands that all certificates of a chain have it.
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	if !o.Unconstrained {
		// RFC 5280, section 4.2.1.10, requires name constraints to be critical. These
		// are not, since a phone that does not know them would refuse the authority;
		// the others obey them either way.
		c.PermittedDNSDomains = a.names.DNSNames()
		c.PermittedIPRanges = permittedRanges
		c.PermittedEmailAddresses = []string{unusedDomain}
		c.PermittedURIDomains = []string{unusedDomain}
	}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &a.key.PublicKey, a.key)
	if err != nil {
		return err
	}
	return writeCert(path, der)
}

// commonName is the authority's name on a phone. It must not be empty, since iOS would
// then never offer to trust the authority.
func commonName(machine, short string) string {
	words := []string{"coldbatch home", short}
	if m := strings.Join(strings.Fields(certificateMachineName(machine)), " "); m != "" {
		words = []string{"coldbatch home", m, short}
	}
	return strings.Join(words, " ")
}

// certificateMachineName keeps those characters of a machine's name that every phone shows in
// a certificate, at most 32.
func certificateMachineName(s string) string {
	s, _, _ = strings.Cut(s, ".")
	keep := func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == ' ' {
			return r
		}
		return -1
	}
	s = strings.Map(keep, s)
	return s[:min(len(s), 32)]
}

func laterOf(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// check returns a fault unless the key and the certificate belong together, are for the
// hub's name, and have not expired.
func (a *Authority) check(keyPath, certPath string) error {
	if !a.key.PublicKey.Equal(a.cert.PublicKey) || !a.cert.IsCA {
		return fault.New(fault.Damaged, "%s is not the certificate of %s", certPath, keyPath).WithHint(repairHint, keyPath, certPath)
	}
	if permitted := a.cert.PermittedDNSDomains; len(permitted) > 0 && permitted[0] != a.names.Host {
		return fault.New(fault.Conflict, "the certificate authority is not for %s, but for %s", a.names.Host, permitted[0]).
			WithHint("keep the name %s, or use another --data folder", permitted[0])
	}
	return nil
}

// CheckValidity returns fault.Conflict once the authority has expired. Its leaf then gives
// no certificate, and only https stops.
func (a *Authority) CheckValidity() error {
	if now := a.now(); now.After(a.cert.NotAfter) {
		keyPath, certPath := filepath.Join(a.dir, caKeyFile), filepath.Join(a.dir, caCertFile)
		return fault.New(fault.Conflict, "the certificate authority expired on %s", a.cert.NotAfter.Format(time.DateOnly)).
			WithHint("if this computer's clock, %s, is wrong, correct it; otherwise stop the program, run `coldbatch authority --renew`, which replaces %s and %s, and let every phone trust the new one",
				now.UTC().Format(time.DateOnly), keyPath, certPath)
	}
	return nil
}

// ExpiresAt says when the authority expires.
func (a *Authority) ExpiresAt() time.Time { return a.cert.NotAfter }

// DER is the authority's certificate in the binary form that phones install.
func (a *Authority) DER() []byte { return a.cert.Raw }

// PEM is the authority's certificate in the text form that programs read.
func (a *Authority) PEM() []byte {
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.cert.Raw})
}

// Name is the authority's name on a phone.
func (a *Authority) Name() string { return a.cert.Subject.CommonName }

// Fingerprint is the SHA-256 of the certificate as phones show it, for a person to
// compare: 32 pairs of hex digits separated by colons.
func (a *Authority) Fingerprint() string { return Fingerprint(a.cert.Raw) }

// Fingerprint is the SHA-256 of a certificate's DER, in the form of
// Authority.Fingerprint.
func Fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}

// newKey generates a P-256 key.
func newKey() (*ecdsa.PrivateKey, error) { return ecdsa.GenerateKey(elliptic.P256(), rand.Reader) }
