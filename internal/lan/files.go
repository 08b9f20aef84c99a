package lan

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"coldbatch/internal/fault"
)

func fileExists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// readKey reads a P-256 key (PKCS #8, RFC 5208). A key that other users can read is
// fault.Damaged.
func readKey(path string) (*ecdsa.PrivateKey, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, unreadableFault(path, err)
	}
	if open := info.Mode().Perm() & 0o077; open != 0 && runtime.GOOS != "windows" {
		return nil, fault.New(fault.Damaged, "other users can read the key %s: its mode is %03o", path, info.Mode().Perm()).
			WithHint("if no one has copied it, run chmod 600 on the file; else delete it and the certificate beside it, and let every phone trust the new one")
	}
	der, err := readPEM(path, "PRIVATE KEY")
	if err != nil {
		return nil, err
	}
	parsed, err := x509.ParsePKCS8PrivateKey(der)
	key, ok := parsed.(*ecdsa.PrivateKey)
	if err != nil || !ok || key.Curve != elliptic.P256() {
		return nil, damagedFault(path, "key")
	}
	return key, nil
}

func readCert(path string) (*x509.Certificate, error) {
	der, err := readPEM(path, "CERTIFICATE")
	if err != nil {
		return nil, err
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, damagedFault(path, "certificate")
	}
	return cert, nil
}

// readPEM reads a file with a single PEM block of a kind (RFC 7468) and returns its bytes.
func readPEM(path, kind string) ([]byte, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, unreadableFault(path, err)
	}
	block, rest := pem.Decode(text)
	if block == nil || block.Type != kind || len(rest) > 0 {
		return nil, damagedFault(path, "file")
	}
	return block.Bytes, nil
}

func damagedFault(path, what string) error {
	return fault.New(fault.Damaged, "the %s %s is damaged", what, path).
		WithHint("restore it from a backup, or delete it and the file beside it, and let every phone trust the new one")
}

func unreadableFault(path string, err error) error {
	if errors.Is(err, fs.ErrPermission) {
		return fault.New(fault.Refused, "this program is not allowed to read %s", path)
	}
	return fault.New(fault.Unavailable, "%s cannot be read: %v", path, err)
}

// writeKey writes a key that only this user can read, and creates its folder if missing.
func writeKey(path string, key *ecdsa.PrivateKey) error {
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fault.New(fault.Unavailable, "the folder of %s cannot be created: %v", path, err)
	}
	syncDir(filepath.Dir(dir)) // where the folder itself may be new
	return writeFile(path, 0o600, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der}))
}

func writeCert(path string, der []byte) error {
	return writeFile(path, 0o644, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
}

// writeFile replaces a file atomically and returns once it is on disk: if a power cut lost
// the key, no phone that trusts it could connect.
func writeFile(path string, mode fs.FileMode, text []byte) (err error) {
	defer func() {
		if err != nil {
			err = fault.New(fault.Unavailable, "%s cannot be written: %v", path, err)
		}
	}()
	f, err := os.CreateTemp(filepath.Dir(path), ".new-*") // mode 600
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // no effect once the file is renamed
	_, err = f.Write(text)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	syncDir(filepath.Dir(path))
	return nil
}

// syncDir writes a folder's entries to disk. Windows has no such call and does this by
// itself, so errors are ignored.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
