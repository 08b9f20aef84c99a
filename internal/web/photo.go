package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"time"

	"github.com/gorilla/mux"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/photo"
	"coldbatch/internal/rights"
)

// Photos stores photos by their SHA-256 in hex. Put refuses what is no photo or has
// another hash, and Get returns only what Put accepted. Open does not check what it reads.
type Photos interface {
	Get(hash string) ([]byte, error)
	Open(hash string) (io.ReadSeekCloser, error)
	Put(hash string, b []byte) error
}

var errTooLarge = withStatus(http.StatusRequestEntityTooLarge, fault.New(fault.Input, "the photo is too large").
	WithHint("at most %d bytes; the app shrinks its own photos before sending them", journal.MaxPhotoBytes))

// servePhoto sends a photo; a HEAD request asks whether the hub has it.
func (s *server) servePhoto(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	hash := mux.Vars(r)["sha256"]
	if err := s.checkPhoto(r.Context(), who, hash); err != nil {
		return nil, err
	}
	header, err := buildInTurn(r.Context(), s.photoChecks, who, func() (photo.Header, error) {
		b, err := s.Photos.Get(hash)
		if err != nil {
			return photo.Header{}, err
		}
		header, err := photo.Check(b) // the type is that of its first bytes, not what the phone claims
		if err != nil {
			err = fault.New(fault.Damaged, "the stored photo %s is not shown: %v", hash, err)
		}
		return header, err
	})
	if err != nil {
		return nil, err
	}
	f, err := s.Photos.Open(hash) // read as it is sent: whoever reads slowly must not keep it in memory
	if err != nil {
		return nil, err
	}
	defer f.Close()
	h := w.Header()
	h.Set("Content-Type", header.Type) // of those types none can contain a script
	h.Set("Cache-Control", "no-store") // the app stores it itself
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil, nil
}

// storePhoto stores a photo that a fact already names.
func (s *server) storePhoto(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	hash := mux.Vars(r)["sha256"]
	if err := s.checkPhoto(r.Context(), who, hash); err != nil {
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
		return nil, fault.New(fault.Input, "the photo was cut off").WithHint("send it again")
	}
	stopCountingBody(r)
	return struct{}{}, s.Photos.Put(hash, b)
}

// checkPhoto returns a fault unless an entry that the asker may see names the photo. It does
// not reveal whether another batch has the photo.
func (s *server) checkPhoto(ctx context.Context, who rights.Asker, hash string) error {
	can, err := s.ActiveHub().CanSeePhoto(ctx, who, hash)
	if err == nil && !can {
		err = fault.New(fault.Refused, "this photo belongs to no entry that this phone may see").
			WithHint("send a photo's entry before the photo")
	}
	return err
}
