package lan

import (
	"crypto/ecdsa"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"net"
	"net/netip"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// The files of the leaf. They can be lost: the authority makes others.
const (
	leafKeyFile  = "leaf.key"
	leafCertFile = "leaf.crt"
)

const day = 24 * time.Hour

// A leaf counts from some time ago, so that a phone whose clock is slow takes
// it, and lasts 396 days in all. Apple's limit is 825 days for an authority that
// a person installed, and 398 for others; the stricter is kept.
const (
	backdate     = 30 * day
	leafLifetime = 396 * day
)

// Leaf is the certificate that the hub shows: for its names and for the
// addresses it has. It is made anew when it must be, while it is in use.
type Leaf struct {
	authority *Authority
	addresses func() []netip.Addr
	current   atomic.Pointer[tls.Certificate]

	mu    sync.Mutex // held while one is made
	saved bool       // the current one is in its files
}

// Leaf opens the hub's certificate, and makes one where there is none that
// serves. addresses gives the machine's, as Addresses does. After the authority's end the
// leaf opens and gives no certificate.
func (a *Authority) Leaf(addresses func() []netip.Addr) (*Leaf, error) {
	l := &Leaf{authority: a, addresses: addresses}
	key, keyErr := readKey(filepath.Join(a.dir, leafKeyFile))
	cert, certErr := readCert(filepath.Join(a.dir, leafCertFile))
	if keyErr == nil && certErr == nil && key.PublicKey.Equal(cert.PublicKey) && cert.CheckSignatureFrom(a.cert) == nil {
		l.current.Store(&tls.Certificate{Certificate: [][]byte{cert.Raw}, PrivateKey: key, Leaf: cert})
		l.saved = true
	}
	if a.CheckValidity() != nil {
		return l, nil
	}
	if err := l.Refresh(); err != nil {
		return nil, err
	}
	return l, nil
}

// Refresh makes the certificate anew where it has to be: a third of its time is
// left, or it counts from later than now, or the machine has an address that it
// does not cover. Call it when the addresses change. On an error, the one that
// could be had is in use; after the authority's end none is, and the fault says so.
func (l *Leaf) Refresh() error {
	if err := l.authority.CheckValidity(); err != nil {
		return err
	}
	return l.refresh(netip.Addr{})
}

// GetCertificate is for tls.Config. A connection to an address that is new, or
// after the certificate's time, gets a new one by itself. After the authority's end there
// is none.
func (l *Leaf) GetCertificate(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
	if err := l.authority.CheckValidity(); err != nil {
		return nil, err
	}
	var to netip.Addr
	if hello != nil && hello.Conn != nil {
		if a, err := netip.ParseAddrPort(hello.Conn.LocalAddr().String()); err == nil {
			to = a.Addr().Unmap().WithZone("")
		}
	}
	err := l.refresh(to)
	if c := l.current.Load(); c != nil {
		return c, nil // the error is Refresh's to tell: this handshake goes on
	}
	return nil, err
}

// refresh looks at all addresses, or only at the one that is given.
func (l *Leaf) refresh(to netip.Addr) error {
	now := l.authority.now()
	if c := l.current.Load(); c != nil && to.IsValid() && l.isCurrent(c.Leaf, now) && (coversAddresses(c.Leaf, to) || !IsHomeAddress(to)) {
		return nil
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	addresses := l.addresses()
	c := l.current.Load()
	if c != nil && l.isCurrent(c.Leaf, now) && l.hasNames(c.Leaf) && coversAddresses(c.Leaf, addresses...) {
		return l.save()
	}
	if now.Before(minClock) && c != nil {
		// This clock was never set. The last certificate was made later than it says.
		now = c.Leaf.NotBefore.Add(backdate)
	}
	made, err := l.issue(laterOf(now, minClock), addresses)
	if err != nil {
		return err
	}
	l.current.Store(made)
	l.saved = false
	return l.save()
}

// isCurrent says whether the certificate's time fits the clock. A clock that was
// never set has no say.
func (l *Leaf) isCurrent(c *x509.Certificate, now time.Time) bool {
	if now.Before(minClock) {
		return true
	}
	third := c.NotAfter.Sub(c.NotBefore) / 3
	return !now.Before(c.NotBefore) && now.Before(c.NotAfter.Add(-third))
}

// hasNames says whether the certificate is for the hub's names.
func (l *Leaf) hasNames(c *x509.Certificate) bool {
	return slices.Equal(c.DNSNames, l.authority.names.DNSNames())
}

func coversAddresses(c *x509.Certificate, addresses ...netip.Addr) bool {
	for _, a := range addresses {
		if !slices.ContainsFunc(c.IPAddresses, net.IP(a.AsSlice()).Equal) {
			return false
		}
	}
	return true
}

// issue makes a certificate as of now.
func (l *Leaf) issue(now time.Time, addresses []netip.Addr) (*tls.Certificate, error) {
	a := l.authority
	ips := []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}
	for _, address := range addresses {
		ips = append(ips, net.IP(address.AsSlice()))
	}
	key, err := newKey()
	if err != nil {
		return nil, err
	}
	point, err := key.PublicKey.Bytes()
	if err != nil {
		return nil, err
	}
	id := sha256.Sum256(point)
	from := now.Add(-backdate).Truncate(time.Second)
	template := &x509.Certificate{
		Subject:               pkix.Name{CommonName: a.names.Host},
		NotBefore:             from,
		NotAfter:              from.Add(leafLifetime - time.Second), // the last second counts: RFC 5280, section 4.1.2.5
		BasicConstraintsValid: true,
		KeyUsage:              x509.KeyUsageDigitalSignature,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		DNSNames:              a.names.DNSNames(),
		IPAddresses:           ips,
		SubjectKeyId:          id[:20], // RFC 7093, section 2, method 1
	}
	der, err := x509.CreateCertificate(rand.Reader, template, a.cert, &key.PublicKey, a.key)
	if err != nil {
		return nil, err
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	return &tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key, Leaf: cert}, nil
}

// save writes the current certificate for the next start, if that is not done. A
// start that finds only one of its two files makes another.
func (l *Leaf) save() error {
	if l.saved {
		return nil
	}
	c := l.current.Load()
	err := writeKey(filepath.Join(l.authority.dir, leafKeyFile), c.PrivateKey.(*ecdsa.PrivateKey))
	if err == nil {
		err = writeCert(filepath.Join(l.authority.dir, leafCertFile), c.Leaf.Raw)
	}
	l.saved = err == nil
	return err
}
