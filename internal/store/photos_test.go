package store

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// fakeJPEG returns bytes that begin as a JPEG of 8 × 8 pixels does, and their hash.
func fakeJPEG(seed int64, size int) (hash string, b []byte) {
	b = make([]byte, size)
	rand.New(rand.NewSource(seed)).Read(b)
	copy(b, "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08")
	return hashOf(b), b
}

func TestPhotos(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data", "photos")
	p := NewPhotos(dir)
	if err := p.RemoveIncomplete(); err != nil {
		t.Fatal(err)
	}
	if good, problems, err := p.Check(); good != 0 || problems != nil || err != nil {
		t.Fatalf("before the first: %d %v %v", good, problems, err)
	}
	hash, b := fakeJPEG(1, 40_000)
	if _, err := p.Get(hash); !fault.Is(err, fault.NotFound) {
		t.Errorf("one that is not there: %v", err)
	}
	for range 2 { // sent again, where the answer was lost
		if err := p.Put(hash, b); err != nil {
			t.Fatal(err)
		}
	}
	got, err := p.Get(hash)
	if err != nil || !bytes.Equal(got, b) {
		t.Errorf("read again: %d bytes, %v", len(got), err)
	}
	path := filepath.Join(dir, hash[:2], hash)
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v", info, err)
	}

	// A damaged photo is reported when it is read, and replaced when somebody who has it sends it again.
	b[30_000] ^= 1
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := p.Get(hash); !fault.Is(err, fault.Damaged) {
		t.Errorf("a damaged photo: %v", err)
	}
	if good, problems, err := p.Check(); good != 0 || len(problems) != 1 || err != nil {
		t.Errorf("check finds %d good, %v, %v", good, problems, err)
	}
	b[30_000] ^= 1
	if err := p.Put(hash, b); err != nil {
		t.Fatal(err)
	}
	if good, problems, err := p.Check(); good != 1 || problems != nil || err != nil {
		t.Errorf("mended, check finds %d good, %v, %v", good, problems, err)
	}
}

func TestWhatIsNoPhotoIsRefused(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "photos")
	p := NewPhotos(dir)
	hash, b := fakeJPEG(1, 1000)
	large, much := fakeJPEG(2, journal.MaxPhotoBytes+1)
	page := []byte("<!doctype html><script>alert(1)</script>")
	for why, c := range map[string]struct {
		hash string
		b    []byte
	}{
		"another's hash":     {large, b},
		"cut on its way":     {hash, b[:999]},
		"nothing":            {hashOf(nil), nil},
		"too large":          {large, much},
		"a page":             {hashOf(page), page},
		"upper case":         {strings.ToUpper(hash), b},
		"a way out":          {"../../../../etc/passwd", b},
		"a hash and a way":   {hash[:60] + "/../", b},
		"a hash that is cut": {hash[:62], b},
	} {
		if err := p.Put(c.hash, c.b); !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", why, err)
		}
	}
	if _, err := p.Get("../photos_test.go"); !fault.Is(err, fault.Input) {
		t.Errorf("read by a path: %v", err)
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("something was written: %v", err)
	}
	manyPixels := []byte("\xff\xd8\xff\xc0\x00\x0b\x08\xff\xdc\xff\xdc 65500 × 65500 pixels in few bytes: a phone has no room for them")
	if err := p.Put(hashOf(manyPixels), manyPixels); !fault.Is(err, fault.Input) {
		t.Errorf("a picture of 4 billion pixels is taken: %v", err)
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("something of it was stored: %v", err)
	}
	atMost, b := fakeJPEG(3, journal.MaxPhotoBytes)
	if err := p.Put(atMost, b); err != nil {
		t.Errorf("as large as may be: %v", err)
	}
}

func TestPhotosAreCopied(t *testing.T) {
	p := NewPhotos(filepath.Join(t.TempDir(), "photos"))
	var hashes []string
	for i := range int64(5) {
		hash, b := fakeJPEG(i, 5000)
		if err := p.Put(hash, b); err != nil {
			t.Fatal(err)
		}
		hashes = append(hashes, hash)
	}
	// What is not ours is left alone and not copied.
	stray := filepath.Join(p.dir, "ab", "notes.txt")
	_ = os.MkdirAll(filepath.Dir(stray), 0o700)
	if err := os.WriteFile(stray, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	bad, _ := p.pathOf(hashes[2])
	if err := os.WriteFile(bad, []byte("damaged"), 0o600); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "copy.photos")
	for range 2 { // an interrupted copy is continued
		n, problems, err := p.CopyTo(to)
		if n != 4 || len(problems) != 1 || err != nil {
			t.Fatalf("copied %d, %v, %v", n, problems, err)
		}
	}
	if good, problems, err := NewPhotos(to).Check(); good != 4 || problems != nil || err != nil {
		t.Errorf("the copy: %d %v %v", good, problems, err)
	}
	if n, problems, err := NewPhotos(filepath.Join(to, "none")).CopyTo(filepath.Join(to, "other")); n != 0 || problems != nil || err != nil {
		t.Errorf("where there are none: %d %v %v", n, problems, err)
	}
}

func init() {
	childFunctions["photos"] = func(dir string) {
		for i := int64(0); ; i++ {
			hash, b := fakeJPEG(int64(os.Getpid())<<20+i, 300_000)
			if err := NewPhotos(dir).Put(hash, b); err != nil {
				fmt.Println(err)
				return
			}
			fmt.Println(hash)
		}
	}
}

// Killed at any moment, every photo that was acknowledged is whole, and under no
// name stands half a one.
func TestKilledBetweenPhotos(t *testing.T) {
	p := NewPhotos(filepath.Join(t.TempDir(), "photos"))
	acknowledged := 0
	for round := range 6 {
		c := startChild(t, "photos", p.dir)
		time.Sleep(time.Duration(20+17*round) * time.Millisecond)
		if err := c.cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for c.lines.Scan() {
			if _, err := p.Get(c.lines.Text()); err != nil {
				t.Errorf("acknowledged: %v", err)
			}
			acknowledged++
		}
		_ = c.cmd.Wait()
	}
	good, problems, err := p.Check()
	if err != nil || problems != nil || good < acknowledged {
		t.Errorf("%d good of %d acknowledged, %v, %v", good, acknowledged, problems, err)
	}
	if err := p.RemoveIncomplete(); err != nil {
		t.Fatal(err)
	}
	_ = filepath.WalkDir(p.dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasPrefix(d.Name(), tempPrefix) {
			t.Errorf("left behind: %s", path)
		}
		return nil
	})
	t.Logf("%d acknowledged, %d there", acknowledged, good)
}
