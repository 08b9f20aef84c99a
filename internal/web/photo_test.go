package web

import (
	"bytes"
	"io"
	"net/http"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// memoryPhotos holds photos in memory, by hash.
type memoryPhotos map[string][]byte

const (
	testJPEG          = "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 an apron"
	photoOfThisBatch  = "a1" // named by a fact of thisBatch
	photoOfNoBatch    = "c3"
	photoOfOtherBatch = "b2"
)

func (a memoryPhotos) Get(hash string) ([]byte, error) {
	if b, ok := a[hash]; ok {
		return b, nil
	}
	return nil, fault.New(fault.NotFound, "this photo is not here")
}

func (a memoryPhotos) Open(hash string) (io.ReadSeekCloser, error) {
	b, err := a.Get(hash)
	return struct {
		io.ReadSeeker
		io.Closer
	}{bytes.NewReader(b), io.NopCloser(nil)}, err
}

func (a memoryPhotos) Put(hash string, b []byte) error {
	if !strings.HasPrefix(string(b), "\xff\xd8\xff") {
		return fault.New(fault.Input, "what was sent is no photo")
	}
	a[hash] = b
	return nil
}

func TestPhotos(t *testing.T) {
	a := newTestApp(t)
	kept := memoryPhotos{"page": []byte("<!doctype html><script>alert(1)</script>")}
	a.Photos = kept
	h := newFullHandler(t, a)
	for _, c := range []struct {
		why, method, hash, body, from string
		status                        int
	}{
		{"it is asked for before it is sent", "HEAD", photoOfThisBatch, "", "https helper", 404},
		{"a stranger sends one", "PUT", photoOfThisBatch, testJPEG, "https nobody", 401},
		{"who is let in no more sends one", "PUT", photoOfThisBatch, testJPEG, "https out", 401},
		{"a helper of another batch sends one", "PUT", photoOfThisBatch, testJPEG, "https other", 403},
		{"no fact names it", "PUT", photoOfNoBatch, testJPEG, "https owner", 403},
		{"it is no photo", "PUT", photoOfThisBatch, "<svg>", "https helper", 422},
		{"it is too large", "PUT", photoOfThisBatch, strings.Repeat("x", journal.MaxPhotoBytes+1), "https helper", 413},
		{"a helper sends one of its batch", "PUT", photoOfThisBatch, testJPEG, "https helper", 200},
		{"and again, since the answer was lost", "PUT", photoOfThisBatch, testJPEG, "https helper", 200},
		{"then it is there", "HEAD", photoOfThisBatch, "", "https helper", 200},
		{"the owner sees it", "GET", photoOfThisBatch, "", "https owner", 200},
		{"and so does whoever sits at the computer", "GET", photoOfThisBatch, "", "", 200},
		{"a helper of another batch does not", "GET", photoOfThisBatch, "", "https other", 403},
		{"nor does a stranger", "GET", photoOfThisBatch, "", "https nobody", 401},
		{"nor who is let in no more", "GET", photoOfThisBatch, "", "https out", 401},
		{"a helper asks for another batch's", "GET", photoOfOtherBatch, "", "https helper", 403},
		{"and is told the same of what is nowhere", "GET", photoOfNoBatch, "", "https helper", 403},
		{"what is no picture is never served", "GET", "page", "", "https owner", 500},
		{"a photo is not taken away by this", "DELETE", photoOfThisBatch, "", "https owner", 405},
	} {
		var headers []string
		if c.from != "" {
			headers = []string{"From: " + c.from}
		}
		w := sendRequest(h, c.method, "/api/v1/photo/"+c.hash, c.body, headers...)
		if w.Code != c.status {
			t.Errorf("%s: %d, want %d: %s", c.why, w.Code, c.status, w.Body)
		}
		if w.Code != 200 || c.method == "PUT" {
			if kind := w.Header().Get("Content-Type"); kind != "application/json" {
				t.Errorf("%s: answered as %q", c.why, kind)
			}
			continue
		}
		for name, want := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff",
			"Cache-Control": "no-store", "Cross-Origin-Resource-Policy": "same-origin"} {
			if got := w.Header().Get(name); got != want {
				t.Errorf("%s: %s is %q", c.why, name, got)
			}
		}
		if want := map[string]string{"GET": testJPEG, "HEAD": ""}[c.method]; w.Body.String() != want {
			t.Errorf("%s: %q", c.why, w.Body)
		}
	}
	if w := sendRequest(h, http.MethodPut, "/api/v1/photo/"+photoOfThisBatch, testJPEG, "From: https owner", "Origin: https://elsewhere.example"); w.Code != 403 {
		t.Errorf("another site's page sends a photo: %d", w.Code)
	}
}
