package main

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/store"
	"coldbatch/internal/zone"
)

// newJournal makes a data folder with an empty journal.
func newJournal(t *testing.T) (data string) {
	t.Helper()
	data = t.TempDir()
	s, err := store.Open(filepath.Join(data, journalFile), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	h, err := hub.Open(storeJournal{s}, api.Identity{Zone: "Europe/Lisbon"}, machineSystem())
	if err != nil {
		t.Fatal(err)
	}
	h.Close()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return data
}

// mustRunCommand runs a command that must succeed, and returns what it printed.
func mustRunCommand(t *testing.T, args ...string) string {
	t.Helper()
	var out, complaint bytes.Buffer
	c := command{ctx: t.Context(), out: &out, err: &complaint, env: func(string) string { return "" }}
	if code := c.run(args); code != exitOK || complaint.Len() > 0 {
		t.Fatalf("coldbatch %s: exit code %d, %s", strings.Join(args, " "), code, complaint.String())
	}
	return out.String()
}

// What was exported is read into an empty journal without loss and gives the same bytes again;
// read twice it doubles nothing; photos come along; no cell of the table is a formula.
func TestExportReadAgain(t *testing.T) {
	rng := rand.NewChaCha8([32]byte{14})
	facts, err := batchview.Example(zone.Date(2026, 5, 2), "Europe/Lisbon", func(b []byte) { rng.Read(b) })
	if err != nil {
		t.Fatal(err)
	}
	photo := []byte("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 invented")
	sum := sha256.Sum256(photo)
	hash := hex.EncodeToString(sum[:])
	author := journal.Author{Device: facts[0].Device, Now: zone.Date(2026, 5, 2), TZ: "Europe/Lisbon", Random: func(b []byte) { rng.Read(b) }}
	drafts := []journal.Draft{}
	for _, f := range facts {
		if f.Kind == journal.KindPieceAdded && len(drafts) == 0 {
			body, _ := json.Marshal(journal.PiecePhotographed{SHA256: hash})
			drafts = append(drafts, journal.Draft{Scope: f.Scope, Subject: f.Subject, Kind: journal.KindPiecePhotographed, Body: body})
		}
		if f.Kind == journal.KindBatchStarted && len(drafts) == 1 {
			drafts = append(drafts, journal.Draft{Scope: f.Scope, Subject: f.Subject, Kind: journal.KindBatchChanged, Body: json.RawMessage(`{"name":"=cmd & <ä>"}`)})
		}
	}
	more, err := author.MakeFacts(drafts)
	if err != nil {
		t.Fatal(err)
	}
	first, second, dir := newJournal(t), newJournal(t), t.TempDir()
	saved := filepath.Join(dir, "saved.json")
	if err := os.WriteFile(saved, journal.WriteSavedFile(append(facts, more...)), 0o600); err != nil {
		t.Fatal(err)
	}
	mustRunCommand(t, "import", "--data", first, saved)
	if err := photosIn(first).Put(hash, photo); err != nil {
		t.Fatal(err)
	}
	read := func(name string) []byte {
		t.Helper()
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	for _, ext := range []string{".zip", ".json"} {
		a, b := filepath.Join(dir, "a"+ext), filepath.Join(dir, "b"+ext)
		if says := mustRunCommand(t, "export", "--data", first, a); ext == ".zip" && !strings.Contains(says, "with 1 photo") {
			t.Errorf("export says %q", says)
		}
		mustRunCommand(t, "import", "--data", second, a)
		mustRunCommand(t, "export", "--data", second, b)
		if !bytes.Equal(read(a), read(b)) {
			t.Errorf("%s: exported, read into an empty journal and exported, it is another file", ext)
		}
		if again := mustRunCommand(t, "import", "--data", second, a); !strings.HasPrefix(again, "0 entries of ") {
			t.Errorf("read twice: %q", again)
		}
		if code, _, says := runCommand(t, second, "export", b); code != 1 || !strings.Contains(says, "there is already a file") {
			t.Errorf("a file that is there: %d, %s", code, says)
		}
		if err := os.Remove(b); err != nil {
			t.Fatal(err)
		}
		mustRunCommand(t, "export", "--data", second, b)
		if !bytes.Equal(read(a), read(b)) {
			t.Errorf("%s: read twice, it is another file", ext)
		}
	}
	if b, err := photosIn(second).Get(hash); err != nil || !bytes.Equal(b, photo) {
		t.Errorf("the photo: %q %v", b, err)
	}
	table := filepath.Join(dir, "bags.csv")
	mustRunCommand(t, "export", "--data", second, table)
	rows, err := csv.NewReader(bytes.NewReader(read(table))).ReadAll()
	if err != nil || len(rows) < 5 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	named := false
	for _, row := range rows {
		named = named || row[0] == "'=cmd & <ä>"
		for _, cell := range row {
			if cell != batchview.SafeCell(cell) {
				t.Errorf("the cell %q may be taken for a formula", cell)
			}
		}
	}
	if !named {
		t.Error("the batch whose name begins like a formula is not in the table")
	}
}

// A file that is no export is refused with a sentence.
func TestImportOddExports(t *testing.T) {
	dir, data := t.TempDir(), newJournal(t)
	for name, content := range map[string]string{"text.zip": "not a zip", "empty.zip": "PK\x05\x06" + strings.Repeat("\x00", 18)} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		var out, complaint bytes.Buffer
		c := command{ctx: t.Context(), out: &out, err: &complaint, env: func(string) string { return "" }}
		if code := c.run([]string{"import", "--data", data, path}); code != exitFailed || !strings.Contains(complaint.String(), name) {
			t.Errorf("%s: exit code %d, %q", name, code, complaint.String())
		}
	}
}

// writeZip writes a zip of those files, in that order, and returns its path.
func writeZip(t *testing.T, files ...[2]string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.Create(f[0])
		if err == nil {
			_, err = w.Write([]byte(f[1]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(t.TempDir(), "export.zip")
	if err := errors.Join(z.Close(), os.WriteFile(path, b.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	return path
}

// photoFile returns the name in an export and the hash of an invented photo.
func photoFile(photo string) (name, hash string) {
	sum := sha256.Sum256([]byte(photo))
	hash = hex.EncodeToString(sum[:])
	return exportPhotos + "/" + hash + ".jpg", hash
}

// A damaged photo in an export once held up everything else in it: nothing was read. Now the
// entries and the other photos are, and a sentence names the one that is missing.
func TestImportWithADamagedPhoto(t *testing.T) {
	data, facts := newJournal(t), exampleFacts(t)
	good := "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 invented"
	goodName, goodHash := photoFile(good)
	badName, _ := photoFile("another")
	path := writeZip(t, [2]string{badName, "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 damaged"}, [2]string{goodName, good},
		[2]string{exportPhotos + "/../../" + goodHash + ".jpg", good}, [2]string{exportJournal, string(journal.WriteSavedFile(facts))})
	code, out, complaint := runCommand(t, data, "import", path)
	if code != exitFailed || !strings.Contains(out, "1 photo kept") || !strings.Contains(complaint, badName+" was left out") {
		t.Errorf("exit code %d, %q, %q", code, out, complaint)
	}
	if says := mustRunCommand(t, "check", "--data", data); !strings.Contains(says, fmt.Sprintf("%d facts", len(facts))) {
		t.Errorf("the journal: %s", says)
	}
	if b, err := photosIn(data).Get(goodHash); err != nil || string(b) != good {
		t.Errorf("the good photo: %q %v", b, err)
	}
}

// A damaged photo in the data folder once made every export fail. It is left out and named.
func TestExportWithADamagedPhoto(t *testing.T) {
	data, dir := newJournal(t), t.TempDir()
	facts := exampleFacts(t)
	name, hash := photoFile("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 invented")
	rng := rand.NewChaCha8([32]byte{15})
	author := journal.Author{Device: facts[0].Device, Now: zone.Date(2026, 5, 2), TZ: "Europe/Lisbon", Random: func(b []byte) { rng.Read(b) }}
	for _, f := range facts {
		if f.Kind == journal.KindPieceAdded {
			more, err := author.MakeFacts([]journal.Draft{{Scope: f.Scope, Subject: f.Subject, Kind: journal.KindPiecePhotographed, Body: json.RawMessage(`{"sha256":"` + hash + `"}`)}})
			if err != nil {
				t.Fatal(err)
			}
			facts = append(facts, more...)
			break
		}
	}
	mustRunCommand(t, "import", "--data", data, writeZip(t, [2]string{exportJournal, string(journal.WriteSavedFile(facts))}, [2]string{name, "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 invented"}))
	var file string
	_ = filepath.WalkDir(filepath.Join(data, photosFolder), func(path string, d os.DirEntry, _ error) error {
		if !d.IsDir() {
			file = path
		}
		return nil
	})
	if err := os.WriteFile(file, []byte("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 damaged"), 0o600); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "a.zip")
	if code, says, complaint := runCommand(t, data, "export", out); code != exitFailed || !strings.Contains(says, "with 0 photos") || !strings.Contains(complaint, "is damaged") {
		t.Errorf("exit code %d, %q, %q", code, says, complaint)
	}
	if says := mustRunCommand(t, "import", "--data", newJournal(t), out); !strings.HasPrefix(says, fmt.Sprintf("%d entries", len(facts))) {
		t.Errorf("the export, read again: %s", says)
	}
}

// A file that cannot be written to its end once replaced an earlier export, as on a full disk.
func TestExportReplacesOnlyWithAWholeFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.zip")
	if err := os.WriteFile(path, []byte("earlier"), 0o600); err != nil {
		t.Fatal(err)
	}
	err := replaceFile(path, func(w io.Writer) error {
		_, _ = w.Write([]byte("half"))
		return syscall.ENOSPC
	})
	if !fault.Is(err, fault.Full) || !strings.Contains(err.Error(), path) {
		t.Errorf("the error: %v", err)
	}
	b, err := os.ReadFile(path)
	left, _ := os.ReadDir(dir)
	if err != nil || string(b) != "earlier" || len(left) != 1 {
		t.Errorf("the earlier export is %q %v, beside it %d files", b, err, len(left)-1)
	}
}

// A journal in a zip that is larger than import accepts is refused before any of it is
// unpacked, and so is one that is larger than the zip says.
func TestImportZipBomb(t *testing.T) {
	data := newJournal(t)
	for says, size := range map[string]uint64{"more than": 1 << 40, "cannot be read": 10} {
		var packed, b bytes.Buffer
		d, _ := flate.NewWriter(&packed, 9)
		_, _ = d.Write(bytes.Repeat([]byte(" "), 1<<20))
		z := zip.NewWriter(&b)
		w, err := z.CreateRaw(&zip.FileHeader{Name: exportJournal, Method: zip.Deflate, CompressedSize64: uint64(packed.Len()), UncompressedSize64: size})
		if err == nil {
			_, err = w.Write(packed.Bytes())
		}
		path := filepath.Join(t.TempDir(), "bomb.zip")
		if err := errors.Join(err, d.Close(), z.Close(), os.WriteFile(path, b.Bytes(), 0o600)); err != nil {
			t.Fatal(err)
		}
		if code, _, complaint := runCommand(t, data, "import", path); code == exitOK || !strings.Contains(complaint, says) {
			t.Errorf("%d bytes: exit code %d, %q", size, code, complaint)
		}
	}
	if says := mustRunCommand(t, "check", "--data", data); !strings.Contains(says, "0 facts") {
		t.Errorf("the journal: %s", says)
	}
}

// A journal knows whether it is a backup that was put back: only then do helpers wait.
func TestBackupIsMarked(t *testing.T) {
	data, copied := newJournal(t), t.TempDir()
	mustRunCommand(t, "backup", "--data", data, filepath.Join(copied, journalFile))
	for dir, want := range map[string]bool{data: false, copied: true} {
		s, err := store.Open(filepath.Join(dir, journalFile), store.Options{})
		if err != nil {
			t.Fatal(err)
		}
		h, err := hub.Open(storeJournal{s}, api.Identity{}, machineSystem())
		if err != nil || h.WaitsForOwner() != want {
			t.Errorf("%s: waits %v, want %v, %v", dir, err == nil && h.WaitsForOwner(), want, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		mustRunCommand(t, "check", "--data", dir)
	}
}
