package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/hub"
	"coldbatch/internal/hubtest"
)

// Once the authority has expired, the program serves this computer but no phone, and says
// why.
func TestExpiredAuthority(t *testing.T) {
	h := hubtest.New(t)
	h.HTTPSPort = hubtest.FreePort(t)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := &x509.Certificate{Subject: pkix.Name{CommonName: "an old house"}, NotBefore: time.Now().AddDate(-10, 0, -1), NotAfter: time.Now().AddDate(0, 0, -1),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign, PermittedDNSDomains: []string{hub.DefaultHost}}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for name, block := range map[string]*pem.Block{"ca.key": {Type: "PRIVATE KEY", Bytes: keyDER}, "ca.crt": {Type: "CERTIFICATE", Bytes: der}} {
		if err := os.WriteFile(filepath.Join(h.Data, name), pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	h.Start() // returns once this computer is answered
	conn, err := tls.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", h.HTTPSPort), &tls.Config{InsecureSkipVerify: true})
	if err == nil {
		conn.Close()
		t.Error("phones are shown a certificate")
	}
	if log := h.Log(); !strings.Contains(log, "the certificate authority expired on "+c.NotAfter.Format(time.DateOnly)) || !strings.Contains(log, "authority --renew") {
		t.Errorf("it says %q", log)
	}
}
