package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Photos keeps photos as files, each named by the SHA-256 of what is in it, in a
// folder for the first two digits: ab/ab12…. A photo is never changed, so that a
// file is either whole under its name or not there. It may be used by many at
// once, and copied while it is.
type Photos struct{ dir string }

// beforeNamed begins the names of files that are not whole yet.
const beforeNamed = ".new-"

// PhotosIn uses the folder dir, which is made with the first photo.
func PhotosIn(dir string) Photos { return Photos{dir} }

// Tidy takes away what a program that was killed left half written. No other may
// write there meanwhile.
func (p Photos) Tidy() error {
	entries, err := os.ReadDir(p.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), beforeNamed) {
			err = errors.Join(err, os.Remove(filepath.Join(p.dir, e.Name())))
		}
	}
	return told(p.dir, err)
}

// Put keeps a photo under its hash and returns when it is on the disk. What was
// kept before stays as it is, unless it was damaged since. What is not of that
// hash, is no picture of a kind that is kept, or is too large is refused (Input).
func (p Photos) Put(hash string, b []byte) error {
	path, err := p.path(hash)
	if err != nil {
		return err
	}
	switch {
	case len(b) > journal.MaxPhotoBytes:
		return fault.New(fault.Input, "the photo is too large").WithHint("at most %d bytes", journal.MaxPhotoBytes)
	case PhotoType(b) == "":
		return fault.New(fault.Input, "what was sent is no photo").WithHint("a JPEG, PNG or WebP picture")
	case sum256(b) != hash:
		return fault.New(fault.Input, "the photo is not the one with the hash %q", hash).WithHint("it was changed on its way: send it again")
	}
	if _, err := p.Get(hash); err == nil {
		return nil
	}
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, dirMode); err != nil {
		return told(folder, err)
	}
	temp, err := os.CreateTemp(p.dir, beforeNamed+"*") // mode 0600
	if err != nil {
		return told(path, err)
	}
	defer os.Remove(temp.Name())
	_, err = temp.Write(b)
	if err == nil {
		err = temp.Sync()
	}
	if err = errors.Join(err, temp.Close()); err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err != nil {
		return told(path, err)
	}
	for _, dir := range []string{folder, p.dir, filepath.Dir(p.dir)} { // each may be new
		syncDir(dir)
	}
	return nil
}

// Get gives a photo (NotFound, Damaged).
func (p Photos) Get(hash string) ([]byte, error) {
	path, err := p.path(hash)
	if err != nil {
		return nil, err
	}
	b, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fault.New(fault.NotFound, "this photo is not here").WithHint("the phone that took it has it, and brings it when it is near")
	case err != nil:
		return nil, told(path, err)
	case sum256(b) != hash:
		return nil, fault.New(fault.Damaged, "the photo %s is not what it was", path).
			WithHint("take the file away; a phone that has the photo brings it again")
	}
	return b, nil
}

// PhotoType gives the media type of a photo by its first bytes, or "" for what
// is none of those that are kept: JPEG (ISO/IEC 10918-1: SOI, then a marker),
// PNG (ISO/IEC 15948, 5.2) and WebP (RFC 9649, 2.4).
func PhotoType(b []byte) string {
	switch {
	case bytes.HasPrefix(b, []byte{0xff, 0xd8, 0xff}):
		return "image/jpeg"
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case len(b) >= 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "WEBP":
		return "image/webp"
	}
	return ""
}

// Check reads every photo and gives how many are good, and what is wrong with the
// others. Where there is no folder there are none.
func (p Photos) Check() (good int, problems []string, err error) {
	err = p.each(func(hash string) error {
		switch _, err := p.Get(hash); {
		case err == nil:
			good++
		case len(problems) < maxProblems:
			problems = append(problems, fault.Of(err).Sentence)
		}
		return nil
	})
	return good, problems, err
}

// CopyTo puts a copy of each photo that is good into the folder dir, which is
// made with the first, and gives how many are there then and what is wrong with
// the others. Those that are there stay.
func (p Photos) CopyTo(dir string) (n int, problems []string, err error) {
	to := Photos{dir}
	err = p.each(func(hash string) error {
		b, err := p.Get(hash)
		if err != nil {
			problems = append(problems, fault.Of(err).Sentence)
			return nil
		}
		n++
		return to.Put(hash, b)
	})
	return n, problems, err
}

// each calls do for the hash of each file that has one for a name.
func (p Photos) each(do func(hash string) error) error {
	err := filepath.WalkDir(p.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if own, err := p.path(d.Name()); err != nil || own != path {
			return nil // not one of ours
		}
		return do(d.Name())
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return told(p.dir, err)
}

// path gives the file of a hash. Nothing but a hash gets into a path.
func (p Photos) path(hash string) (string, error) {
	if b, err := hex.DecodeString(hash); err != nil || len(b) != sha256.Size || hash != strings.ToLower(hash) {
		return "", fault.New(fault.Input, "%q is no hash of a photo", fmt.Sprintf("%.70s", hash)).WithHint("a SHA-256 as 64 hex digits in lower case")
	}
	return filepath.Join(p.dir, hash[:2], hash), nil
}

func sum256(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}
