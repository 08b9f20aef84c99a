package hubtest

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/journal"
)

// Upgrade is a folder of testdata/upgrades: what a program of an earlier version left.
type Upgrade struct {
	Name  string         // the commit of that program
	Facts []journal.Fact // of its journal, in order, as it sent them itself
	House struct {
		Sensor string     `json:"sensor"` // token of a sensor
		Lost   journal.ID `json:"lost"`   // a phone that was removed, and sent a fact afterwards
		Batch  journal.ID `json:"batch"`  // the batch that a helper joined
		Share  string     `json:"share"`  // the code that it joined with
		Port   int        `json:"port"`
		HTTPS  int        `json:"https"`
	}

	folder string
}

// PhoneDump is what the app of that version left on a phone.
type PhoneDump struct {
	Text   json.RawMessage // all of it, for the page that puts it back
	Cookie string
	Stores map[string]struct {
		Rows []struct{ Key, Value json.RawMessage }
	}
}

// Upgrades returns every folder of testdata/upgrades.
func Upgrades(t testing.TB) (all []Upgrade) {
	t.Helper()
	root, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	folders, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(root)), "testdata", "upgrades", "*", "house.json"))
	if err != nil || len(folders) == 0 {
		t.Fatalf("no upgrades: %v", err)
	}
	for _, house := range folders {
		u := Upgrade{folder: filepath.Dir(house), Name: filepath.Base(filepath.Dir(house))}
		readJSON(t, house, &u.House)
		lines := bufio.NewScanner(bytes.NewReader(readGzip(t, filepath.Join(u.folder, "facts.jsonl.gz"))))
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			var f journal.Fact
			if err := f.UnmarshalJSON(lines.Bytes()); err != nil {
				t.Fatalf("%s: %v", u.Name, err)
			}
			u.Facts = append(u.Facts, f)
		}
		all = append(all, u)
	}
	return all
}

// Unpack copies the data folder to a new one.
func (u Upgrade) Unpack(t testing.TB) (data string) {
	t.Helper()
	data = t.TempDir()
	from := filepath.Join(u.folder, "data")
	err := filepath.WalkDir(from, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, _ := filepath.Rel(from, path)
		to := filepath.Join(data, strings.TrimSuffix(name, ".gz"))
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			return err
		}
		text, err := os.ReadFile(path)
		if err == nil && to != filepath.Join(data, name) {
			text = readGzip(t, path)
		}
		if err != nil {
			return err
		}
		return os.WriteFile(to, text, 0o600)
	})
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// Phone returns the storage of a phone: "phone" is the owner's, "helper" the helper's.
func (u Upgrade) Phone(t testing.TB, name string) (p PhoneDump) {
	t.Helper()
	p.Text = readGzip(t, filepath.Join(u.folder, name+".json.gz"))
	if err := json.Unmarshal(p.Text, &p); err != nil {
		t.Fatalf("%s of %s: %v", name, u.Name, err)
	}
	return p
}

// Meta reads a value of the store of single values into v.
func (p PhoneDump) Meta(t testing.TB, name string, v any) {
	t.Helper()
	for _, row := range p.Stores["meta"].Rows {
		if string(row.Key) == `"`+name+`"` {
			if err := json.Unmarshal(row.Value, v); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return
		}
	}
	t.Fatalf("the phone has no %s", name)
}

func readGzip(t testing.TB, path string) []byte {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return text
}

func readJSON(t testing.TB, path string, v any) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(text, v)
	}
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}
