package lan

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"coldbatch/internal/fault"
)

// OwnCertificate is the user's own certificate, for a domain of their own. The program never writes
// it, and reads it again when its files change.
type OwnCertificate struct {
	certFile, keyFile, host string
	now                     func() time.Time
	current                 atomic.Pointer[tls.Certificate]

	mu           sync.Mutex     // held while the files are read
	readVersions [2]fileVersion // of the files when they were last read
	readErr      error          // of that reading
}

// fileVersion identifies the content of a file by its size and time of change.
type fileVersion struct {
	size int64
	at   time.Time
}

// OpenOwnCertificate reads a certificate chain and its key (PEM). It returns fault.Input where the
// files are not such, do not belong together or are not for host, and fault.Conflict where
// the certificate has expired or is not yet valid.
func OpenOwnCertificate(certFile, keyFile, host string, now func() time.Time) (*OwnCertificate, error) {
	o := &OwnCertificate{certFile: certFile, keyFile: keyFile, host: host, now: now}
	if err := o.Refresh(); err != nil {
		return nil, err
	}
	return o, nil
}

// Refresh reads the files again if they changed, and uses the new certificate from then
// on. Where that is not usable, the error says why, and the previous certificate stays in
// use.
func (o *OwnCertificate) Refresh() error {
	o.mu.Lock()
	defer o.mu.Unlock()
	var now [2]fileVersion
	for i, path := range []string{o.certFile, o.keyFile} {
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return fault.New(fault.NotFound, "there is no file %s", path)
		} else if err != nil {
			return unreadableFault(path, err)
		}
		now[i] = fileVersion{info.Size(), info.ModTime()}
	}
	if now == o.readVersions {
		return o.readErr
	}
	c, err := o.read()
	if err == nil {
		o.current.Store(c)
	}
	o.readVersions, o.readErr = now, err
	return err
}

// GetCertificate is for tls.Config. It looks whether the files changed.
func (o *OwnCertificate) GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	o.Refresh() // the periodic call of Refresh reports its error
	return o.current.Load(), nil
}

func (o *OwnCertificate) read() (*tls.Certificate, error) {
	certText, err := os.ReadFile(o.certFile)
	if err != nil {
		return nil, unreadableFault(o.certFile, err)
	}
	keyText, err := os.ReadFile(o.keyFile)
	if err != nil {
		return nil, unreadableFault(o.keyFile, err)
	}
	c, err := tls.X509KeyPair(certText, keyText)
	if err != nil {
		return nil, fault.New(fault.Input, "%s and %s are not a certificate and its key: %v", o.certFile, o.keyFile, err).
			WithHint("both as PEM; the certificate first, then the intermediate ones")
	}
	if c.Leaf.VerifyHostname(o.host) != nil {
		return nil, fault.New(fault.Input, "the certificate %s is not for %s", o.certFile, o.host).
			WithHint("it is for %v; set the hub's name with --name at the first run", c.Leaf.DNSNames)
	}
	return &c, o.checkValidity(c.Leaf)
}

func (o *OwnCertificate) checkValidity(c *x509.Certificate) error {
	now := o.now()
	if !now.Before(c.NotBefore) && !now.After(c.NotAfter) {
		return nil
	}
	return fault.New(fault.Conflict, "the certificate %s is valid from %s to %s, but not now", o.certFile, c.NotBefore.Format(time.DateOnly), c.NotAfter.Format(time.DateOnly)).
		WithHint("renew it, or set this computer's clock, which shows %s", now.UTC().Format(time.DateOnly))
}
