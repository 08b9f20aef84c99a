package web

import (
	"bytes"
	"io"
	"net/http"
	"runtime"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/journal"
)

// photosFromFile gives a fresh copy of a photo to each who wants it whole, as reading a file does, and one
// that all share to who reads it bit by bit.
type photosFromFile struct{ photo []byte }

func (p photosFromFile) Get(string) ([]byte, error) { return bytes.Clone(p.photo), nil }
func (p photosFromFile) Put(string, []byte) error   { return nil }
func (p photosFromFile) Open(string) (io.ReadSeekCloser, error) {
	return struct {
		io.ReadSeeker
		io.Closer
	}{bytes.NewReader(p.photo), io.NopCloser(nil)}, nil
}

// stalledReader is whoever asked and takes nothing of the answer.
type stalledReader struct {
	http.ResponseWriter
	begun, end chan struct{}
	once       *sync.Once
}

func (s stalledReader) Write(b []byte) (int, error) {
	s.once.Do(func() { s.begun <- struct{}{} })
	<-s.end
	runtime.KeepAlive(b)
	return len(b), nil
}

// Eighty ask for a photo of 2 MB and do not read what they get: the hub does not hold it eighty times.
func TestPhotosNobodyReads(t *testing.T) {
	const readers = 80
	a := newTestApp(t)
	photo := append([]byte(testJPEG), make([]byte, journal.MaxPhotoBytes-len(testJPEG))...)
	a.Photos = photosFromFile{photo}
	h := newFullHandler(t, a)
	heap := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := heap()
	begun, end := make(chan struct{}, readers), make(chan struct{})
	var all sync.WaitGroup
	for range readers {
		all.Go(func() {
			r := newRequest(http.MethodGet, "/api/v1/photo/"+photoOfThisBatch, http.NoBody, "From: https helper")
			h.ServeHTTP(stalledReader{&headerOnly{http.Header{}}, begun, end, &sync.Once{}}, r)
		})
	}
	for range readers {
		select {
		case <-begun:
		case <-time.After(time.Minute):
			t.Fatal("not all are answered")
		}
	}
	if more := int64(heap()) - int64(before); more > readers*journal.MaxPhotoBytes/8 {
		t.Errorf("%d readers hold %d MB", readers, more>>20)
	}
	close(end)
	all.Wait()
}

// headerOnly is an answer whose body nobody looks at.
type headerOnly struct{ header http.Header }

func (w *headerOnly) Header() http.Header         { return w.header }
func (w *headerOnly) Write(b []byte) (int, error) { return len(b), nil }
func (w *headerOnly) WriteHeader(int)             {}
