package web

import (
	"errors"
	"io"
	"net/http"
	"slices"
	"strconv"

	"github.com/gorilla/mux"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Photos are the photos that facts name by their hash. Put refuses what is no
// photo or not of that hash, and Get gives only what Put took.
type Photos interface {
	Sees(who rights.Asker, hash string) (bool, error)
	Get(hash string) ([]byte, error)
	Put(hash string, b []byte) error
}

var errTooLarge = at(http.StatusRequestEntityTooLarge, fault.New(fault.Input, "the photo is too large").
	WithHint("at most %d bytes; the app makes it smaller before it sends it", journal.MaxPhotoBytes))

// pictures are the media types that are ever served as photos: none of them can
// hold a script.
var pictures = []string{"image/jpeg", "image/png", "image/webp"}

// photo gives one photo, or with HEAD says whether it is here.
func (s *server) photo(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	hash := mux.Vars(r)["sha256"]
	if err := s.seesPhoto(who, hash); err != nil {
		return nil, err
	}
	b, err := s.Photos.Get(hash)
	if err != nil {
		return nil, err
	}
	kind := http.DetectContentType(b) // by its first bytes alone, whatever was said of it
	if !slices.Contains(pictures, kind) {
		return nil, fault.New(fault.Damaged, "what is kept as the photo %s is none", hash)
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Length", strconv.Itoa(len(b)))
	h.Set("Cache-Control", "no-store") // the app keeps it itself
	if r.Method == http.MethodHead {
		return nil, nil
	}
	_, _ = w.Write(b) // whoever asked may have gone
	return nil, nil
}

// putPhoto takes a photo that a fact already names.
func (s *server) putPhoto(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	hash := mux.Vars(r)["sha256"]
	if err := s.seesPhoto(who, hash); err != nil {
		return nil, err
	}
	if r.ContentLength > journal.MaxPhotoBytes {
		return nil, errTooLarge
	}
	b, err := io.ReadAll(http.MaxBytesReader(w, r.Body, journal.MaxPhotoBytes))
	if long := (*http.MaxBytesError)(nil); errors.As(err, &long) {
		return nil, errTooLarge
	}
	if err != nil {
		return nil, fault.New(fault.Input, "the photo broke off on its way").WithHint("send it again")
	}
	return struct{}{}, s.Photos.Put(hash, b)
}

// seesPhoto returns a fault where no entry that who may see names the photo. What
// another batch has and what is nowhere is told the same.
func (s *server) seesPhoto(who rights.Asker, hash string) error {
	sees, err := s.Photos.Sees(who, hash)
	if err == nil && !sees {
		err = fault.New(fault.Refused, "no entry that this phone may see names this photo").
			WithHint("the entry of a photo is sent before the photo")
	}
	return err
}
