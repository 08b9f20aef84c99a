package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/photo"
)

// Photos stores photos as files, each named by the SHA-256 of its content, in a
// folder named by the first two digits: ab/ab12…. A photo is never changed: a file
// is either complete under its name or not there. Several goroutines may use it at
// once, and the folder may be copied meanwhile.
type Photos struct{ dir string }

// tempPrefix begins the names of files that are not complete yet.
const tempPrefix = ".new-"

// NewPhotos returns the photos in the folder dir, which is made with the first one.
func NewPhotos(dir string) Photos { return Photos{dir} }

// RemoveIncomplete removes files that a killed program left incomplete. Nobody may write photos
// meanwhile.
func (p Photos) RemoveIncomplete() error {
	entries, err := os.ReadDir(p.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), tempPrefix) {
			err = errors.Join(err, os.Remove(filepath.Join(p.dir, e.Name())))
		}
	}
	return asFault(p.dir, err)
}

// Put stores a photo under its hash and returns when it is on the disk. A photo
// that is there stays as it is, unless it is damaged. Bytes of another hash, of an
// unknown picture format, too many of them, or a picture of too many pixels are refused (Input).
func (p Photos) Put(hash string, b []byte) error {
	if _, err := p.pathOf(hash); err != nil {
		return err
	}
	switch {
	case len(b) > journal.MaxPhotoBytes:
		return fault.New(fault.Input, "the photo has %d bytes, more than %d", len(b), journal.MaxPhotoBytes).
			WithHint("make it smaller")
	case hashOf(b) != hash:
		return fault.New(fault.Input, "the photo does not have the hash %q", hash).WithHint("it was changed on the way: send it again")
	}
	if _, err := photo.Check(b); err != nil {
		return err
	}
	return p.write(hash, b)
}

// write is Put for what is a photo, or was taken as one by an earlier version.
func (p Photos) write(hash string, b []byte) error {
	path, err := p.pathOf(hash)
	if err != nil {
		return err
	}
	folder := filepath.Dir(path)
	for _, dir := range []string{p.dir, folder} {
		if err := makeFolder(dir); err != nil {
			return asFault(dir, err)
		}
	}
	if _, err := p.Get(hash); err == nil {
		return asFault(folder, syncFolder(folder)) // the sync may be what failed before
	}
	temp, err := os.CreateTemp(p.dir, tempPrefix+"*") // mode 0600
	if err != nil {
		return asFault(path, err)
	}
	defer os.Remove(temp.Name())
	_, err = temp.Write(b)
	if err == nil {
		err = temp.Sync()
	}
	if err = errors.Join(err, temp.Close()); err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if err == nil {
		err = syncFolder(folder)
	}
	return asFault(path, err)
}

var errNoPhoto = fault.New(fault.NotFound, "this photo is not here yet").WithHint("the phone that took it sends it once it reaches the hub")

// Get returns a photo. The faults are NotFound and Damaged.
func (p Photos) Get(hash string) ([]byte, error) {
	path, err := p.pathOf(hash)
	if err != nil {
		return nil, err
	}
	b, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, errNoPhoto
	case err != nil:
		return nil, asFault(path, err)
	case hashOf(b) != hash:
		return nil, fault.New(fault.Damaged, "the photo %s is damaged", path).
			WithHint("remove the file; a phone that has the photo sends it again")
	}
	return b, nil
}

// Open opens a photo to be read bit by bit. It does not look whether the photo is damaged, as Get does. The
// fault is NotFound.
func (p Photos) Open(hash string) (io.ReadSeekCloser, error) {
	path, err := p.pathOf(hash)
	if err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errNoPhoto
	}
	if err != nil {
		return nil, asFault(path, err)
	}
	return f, nil
}

// Check reads every photo and returns how many are good, and what is wrong with the
// others. Without a folder there are none.
func (p Photos) Check() (good int, problems []string, err error) {
	err = p.eachPhoto(func(hash string) error {
		switch _, err := p.Get(hash); {
		case err == nil:
			good++
		case len(problems) < maxProblems:
			problems = append(problems, fault.AsFault(err).Sentence)
		}
		return nil
	})
	return good, problems, err
}

// CopyTo copies each good photo into the folder dir, which is made with the first.
// It returns how many of them are there then, and what is wrong with the others.
// Existing photos are kept.
func (p Photos) CopyTo(dir string) (n int, problems []string, err error) {
	to := Photos{dir}
	err = p.eachPhoto(func(hash string) error {
		b, err := p.Get(hash)
		if err != nil {
			problems = append(problems, fault.AsFault(err).Sentence)
			return nil
		}
		n++
		return to.write(hash, b)
	})
	return n, problems, err
}

// eachPhoto calls do for each file that is named by a hash.
func (p Photos) eachPhoto(do func(hash string) error) error {
	err := filepath.WalkDir(p.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if own, err := p.pathOf(d.Name()); err != nil || own != path {
			return nil // not a photo
		}
		return do(d.Name())
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return asFault(p.dir, err)
}

// pathOf returns the file of a hash. Nothing but a hash gets into a path.
func (p Photos) pathOf(hash string) (string, error) {
	if b, err := hex.DecodeString(hash); err != nil || len(b) != sha256.Size || hash != strings.ToLower(hash) {
		return "", fault.New(fault.Input, "%q is not the hash of a photo", fmt.Sprintf("%.70s", hash)).WithHint("give a SHA-256 as 64 hex digits in lower case")
	}
	return filepath.Join(p.dir, hash[:2], hash), nil
}

func hashOf(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}
