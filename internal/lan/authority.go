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

// minClock is a time that no right clock stands before. A board without a clock of
// its own starts in the past until the network tells the time.
var minClock = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// permittedRanges are the only addresses that the authority vouches for: RFC 1918, 3927,
// 1122 (loopback), 4193, 4291.
var permittedRanges = parseNetworks("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
	"fc00::/7", "fe80::/10", "::1/128")

// nobodysDomain is the only one whose mail addresses and pages the authority vouches for.
// It exists nowhere: RFC 2606, section 2. To permit it excludes all others; how to exclude
// all by themselves is read differently by different programs.
const nobodysDomain = "nobody.invalid"

func parseNetworks(list ...string) []*net.IPNet {
	var out []*net.IPNet
	for _, text := range list {
		if _, n, err := net.ParseCIDR(text); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// Options are what can be chosen of a new authority.
type Options struct {
	Machine       string // told in its name, so that two can be told apart; may be empty
	Unconstrained bool   // vouches for any name: for a phone that refuses limits
}

// Authority is the certificate authority of one hub: what a phone is asked to
// trust. It vouches for web servers with the hub's names and with home addresses alone. One
// that an earlier version made has no limits for mail, addresses of pages and purposes.
type Authority struct {
	dir   string
	names Names
	now   func() time.Time
	key   *ecdsa.PrivateKey
	cert  *x509.Certificate
}

// OpenAuthority opens the authority in the folder dir, and makes it there at the
// first time. The names are fixed by then: fault.Conflict for another host. One whose
// time is over opens, but CheckValidity returns a fault. A file that is not what it should be, or a key
// that others may read, is fault.Damaged and is left as it is: a new authority
// must be trusted by every phone anew, which is for the owner to decide.
func OpenAuthority(dir string, names Names, now func() time.Time, o Options) (*Authority, error) {
	if host, err := ReadHost(names.Host); err != nil {
		return nil, err
	} else if host != names.Host {
		return nil, fault.New(fault.Input, "%q is not a name for the hub as it is kept", names.Host).WithHint("%s", host)
	}
	a := &Authority{dir: dir, names: names, now: now}
	keyPath, certPath := filepath.Join(dir, caKeyFile), filepath.Join(dir, caCertFile)
	hasKey, hasCert := fileExists(keyPath), fileExists(certPath)
	if !hasKey && hasCert {
		return nil, fault.New(fault.Damaged, "the certificate authority has lost its key %s", keyPath).WithHint(repairHint, keyPath, certPath)
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

// repairHint is how to begin again.
const repairHint = "take both back from a copy, or delete %s and %s; then every phone must trust the new authority"

// create makes the authority's certificate.
func (a *Authority) create(path string, o Options) error {
	public, err := x509.MarshalPKIXPublicKey(&a.key.PublicKey)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(public)
	from := laterOf(a.now(), minClock)
	c := &x509.Certificate{
		Subject: pkix.Name{CommonName: commonName(o.Machine, hex.EncodeToString(sum[:4]))},
		// From dawn on, whatever the clock says: it may be put right later.
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
		// RFC 5280, section 4.2.1.10, wants them critical. They are not: a phone
		// that does not know them would refuse the authority; the others obey
		// them either way.
		c.PermittedDNSDomains = a.names.DNSNames()
		c.PermittedIPRanges = permittedRanges
		c.PermittedEmailAddresses = []string{nobodysDomain}
		c.PermittedURIDomains = []string{nobodysDomain}
	}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &a.key.PublicKey, a.key)
	if err != nil {
		return err
	}
	return writeCert(path, der)
}

// commonName must not be empty: iOS would never offer to trust the authority.
func commonName(machine, short string) string {
	words := []string{"coldbatch home", short}
	if m := strings.Join(strings.Fields(sanitizeMachineName(machine)), " "); m != "" {
		words = []string{"coldbatch home", m, short}
	}
	return strings.Join(words, " ")
}

// sanitizeMachineName keeps what a certificate shows everywhere of a machine's name, 32
// characters of it.
func sanitizeMachineName(s string) string {
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

// check says whether the two files belong together and serve these names now.
func (a *Authority) check(keyPath, certPath string) error {
	if !a.key.PublicKey.Equal(a.cert.PublicKey) || !a.cert.IsCA {
		return fault.New(fault.Damaged, "%s is not the certificate of %s", certPath, keyPath).WithHint(repairHint, keyPath, certPath)
	}
	if permitted := a.cert.PermittedDNSDomains; len(permitted) > 0 && permitted[0] != a.names.Host {
		return fault.New(fault.Conflict, "%s is not a name that the certificate authority may vouch for, which is %s", a.names.Host, permitted[0]).
			WithHint("keep the name %s, or use another --data folder", permitted[0])
	}
	return nil
}

// CheckValidity returns a fault.Conflict when the authority's time is over. Then its leaf
// gives no certificate: only https stops.
func (a *Authority) CheckValidity() error {
	if now := a.now(); now.After(a.cert.NotAfter) {
		keyPath, certPath := filepath.Join(a.dir, caKeyFile), filepath.Join(a.dir, caCertFile)
		return fault.New(fault.Conflict, "the certificate authority ended on %s", a.cert.NotAfter.Format(time.DateOnly)).
			WithHint("if this computer's clock, %s, is wrong, put it right; else stop the program, run `coldbatch authority --renew`, which replaces %s and %s, and let every phone trust the new one",
				now.UTC().Format(time.DateOnly), keyPath, certPath)
	}
	return nil
}

// Until is when its time is over.
func (a *Authority) Until() time.Time { return a.cert.NotAfter }

// DER is the authority's certificate as phones take it.
func (a *Authority) DER() []byte { return a.cert.Raw }

// PEM is the authority's certificate as programs take it.
func (a *Authority) PEM() []byte {
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.cert.Raw})
}

// Name is what a phone shows the authority as.
func (a *Authority) Name() string { return a.cert.Subject.CommonName }

// Fingerprint is the SHA-256 of the certificate as phones show it, to compare by
// eye: 32 pairs of hex digits with colons between them.
func (a *Authority) Fingerprint() string { return Fingerprint(a.cert.Raw) }

// Fingerprint is the SHA-256 of a certificate's DER, as Authority.Fingerprint.
func Fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}

// newKey makes a key of P-256.
func newKey() (*ecdsa.PrivateKey, error) { return ecdsa.GenerateKey(elliptic.P256(), rand.Reader) }
