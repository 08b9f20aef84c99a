package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
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
	photo := []byte("\xff\xd8\xff\xe0 invented")
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
	more, err := author.Write(drafts)
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
