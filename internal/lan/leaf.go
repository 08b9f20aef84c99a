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

// The files of the leaf. If they are lost, the authority issues a new one.
const (
	leafKeyFile  = "leaf.key"
	leafCertFile = "leaf.crt"
)

const day = 24 * time.Hour

// A leaf is valid from some time ago, so that a phone whose clock is slow accepts it, and
// for 396 days in all. Apple allows 825 days below an authority that a person installed
// and 398 days below others; we keep to the stricter limit.
const (
	leafBackdate = 30 * day
	leafLifetime = 396 * day
)

// Leaf is the hub's server certificate, for its names and its present addresses. It is
// renewed while it is in use.
type Leaf struct {
	authority *Authority
	addresses func() []netip.Addr
	current   atomic.Pointer[tls.Certificate]

	mu      sync.Mutex // held while a certificate is issued
	isSaved bool       // the current certificate is in its files
}

// Leaf opens the hub's server certificate, and issues one where there is no usable one.
// addresses returns the machine's addresses, as Addresses does. Below an expired authority
// the leaf opens, but returns no certificate.
func (a *Authority) Leaf(addresses func() []netip.Addr) (*Leaf, error) {
	l := &Leaf{authority: a, addresses: addresses}
	key, keyErr := readKey(filepath.Join(a.dir, leafKeyFile))
	cert, certErr := readCert(filepath.Join(a.dir, leafCertFile))
	if keyErr == nil && certErr == nil && key.PublicKey.Equal(cert.PublicKey) && cert.CheckSignatureFrom(a.cert) == nil {
		l.current.Store(&tls.Certificate{Certificate: [][]byte{cert.Raw}, PrivateKey: key, Leaf: cert})
		l.isSaved = true
	}
	if a.CheckValidity() != nil {
		return l, nil
	}
	if err := l.Refresh(); err != nil {
		return nil, err
	}
	return l, nil
}

// Refresh renews the certificate if less than a third of its validity is left, if it is
// not yet valid, or if it does not cover an address of the machine. Call it when the
// addresses change. On an error the best certificate so far stays in use; once the
// authority has expired there is none, and the fault says so.
func (l *Leaf) Refresh() error {
	if err := l.authority.CheckValidity(); err != nil {
		return err
	}
	return l.refresh(netip.Addr{})
}

// GetCertificate is for tls.Config. It renews the certificate when a connection arrives
// at a new address or after the certificate has expired. Once the authority has expired
// it returns a fault.
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
		return c, nil // Refresh reports the error; this handshake can go on
	}
	return nil, err
}

// refresh does the work of Refresh. If to is a valid address, it returns at once when the
// certificate is current and covers to.
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
		// This clock was never set: the last certificate was issued at a later time.
		now = c.Leaf.NotBefore.Add(leafBackdate)
	}
	made, err := l.issue(laterOf(now, minClock), addresses)
	if err != nil {
		return err
	}
	l.current.Store(made)
	l.isSaved = false
	return l.save()
}

// isCurrent reports whether the certificate is valid now and for a third of its time. With
// a clock that was never set it always is.
func (l *Leaf) isCurrent(c *x509.Certificate, now time.Time) bool {
	if now.Before(minClock) {
		return true
	}
	third := c.NotAfter.Sub(c.NotBefore) / 3
	return !now.Before(c.NotBefore) && now.Before(c.NotAfter.Add(-third))
}

// hasNames reports whether the certificate is for the hub's names.
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

// issue makes a certificate that is valid from now, less backdate.
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
	from := now.Add(-leafBackdate).Truncate(time.Second)
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

// save writes the current certificate to its files for the next start, unless it is
// there. A start that finds only one of the two files issues a new one.
func (l *Leaf) save() error {
	if l.isSaved {
		return nil
	}
	c := l.current.Load()
	err := writeKey(filepath.Join(l.authority.dir, leafKeyFile), c.PrivateKey.(*ecdsa.PrivateKey))
	if err == nil {
		err = writeCert(filepath.Join(l.authority.dir, leafCertFile), c.Leaf.Raw)
	}
	l.isSaved = err == nil
	return err
}
