package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/need"
	"coldbatch/internal/rights"
	"coldbatch/internal/store"
)

// newProgramWithExample starts a program with the invented example as its journal.
func newProgramWithExample(t *testing.T) *Program {
	t.Helper()
	p := mustRunProgram(t, &Program{Zone: "Europe/Lisbon"})
	facts, err := batchview.Example(machineSystem().Now(), "Europe/Lisbon", machineSystem().Random)
	if err != nil {
		t.Fatal(err)
	}
	if _, refused, err := p.journalHub.Import(t.Context(), facts); err != nil || len(refused) != 0 {
		t.Fatal(err, refused)
	}
	return p
}

// runCommand runs a command of the program on data, in a folder of its own.
func runCommand(t *testing.T, data string, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	c := command{ctx: t.Context(), out: &o, err: &e, env: func(name string) string {
		return map[string]string{"COLDBATCH_DATA": data}[name]
	}}
	code = c.run(args)
	return code, o.String(), e.String()
}

// Labels come the same from the program that runs and from the journal alone, and
// what was printed is recorded once the file is written.
func TestLabelCommand(t *testing.T) {
	p := newProgramWithExample(t)
	dir := t.TempDir()
	file := func(name string) string { return filepath.Join(dir, name) }
	for _, alone := range []bool{false, true} {
		if alone {
			if err := p.Close(); err != nil {
				t.Fatal(err)
			}
		}
		for _, row := range []struct {
			why  string
			args []string
			code int
			want string // of what is said
			file string
		}{
			{"a whole batch, by how its name begins", []string{"label", "spring", "--out", file("a.pdf")}, 0, "labels in " + file("a.pdf") + ": ", "a.pdf"},
			{"the flags first", []string{"label", "--out", file("b.pdf"), "--sheet", "a4-105x74", "--cut", "--mono", "spring market"}, 0, "on a laser printer", "b.pdf"},
			{"a half-used sheet", []string{"label", "spring", "--start", "24", "--out", file("c.pdf")}, 0, "labels in", "c.pdf"},
			{"for a label printer, a picture for each", []string{"label", "spring", "--sheet", "62x29", "--out", file("d.png")}, 0, file("d-1.png") + " to ", "d-1.png"},
			{"as drawings", []string{"label", "spring", "--sheet", "roll-62", "--out", file("e.svg"), "--us"}, 0, "labels in", "e-1.svg"},
			{"bottles", []string{"label", "spring", "--what", "bottles", "--out", file("f.pdf")}, 0, "labels in", "f.pdf"},
			{"the bucket", []string{"label", "spring", "--what", "bucket", "--out", file("g.pdf")}, 0, "1 label in", "g.pdf"},
			{"blanks", []string{"blanks", "spring", "--count", "26", "--out", file("h.pdf")}, 0, "26 labels in", "h.pdf"},
			{"the same again", []string{"label", "spring", "--what", "blanks", "--out", file("i.pdf")}, 0, "labels in", "i.pdf"},
			{"tags of a piece", []string{"blanks", "spring", "--piece", "pillowcase", "--count", "2", "--sheet", "40x20", "--out", file("j.pdf")}, 0, "2 labels in", "j.pdf"},
			{"all are printed", []string{"label", "spring", "--unprinted", "--out", file("k.pdf")}, 1, "all bags are printed", ""},
			{"a bag that is not there", []string{"label", "spring", "--bags", "999", "--out", file("k.pdf")}, 1, `no bag "999"`, ""},
			{"a batch that is not there", []string{"label", "autumn", "--out", file("k.pdf")}, 1, `no batch "autumn"`, ""},
			{"no batch", []string{"label"}, 2, "the name of a batch", ""},
			{"no batch but a flag", []string{"label", "--mono"}, 2, "the name of a batch", ""},
			{"no number", []string{"blanks", "spring", "--count", "abc"}, 2, `"abc" for flag -count: it takes a whole number`, ""},
			{"a sheet that is not there", []string{"label", "spring", "--sheet", "a5", "--out", file("k.pdf")}, 2, "a4-70x37", ""},
			{"a form that is not there", []string{"label", "spring", "--out", file("k.txt")}, 2, ".pdf, .svg or .png", ""},
			{"beyond the sheet", []string{"label", "spring", "--start", "25", "--out", file("k.pdf")}, 2, "no label 25", ""},
			{"a strange resolution", []string{"label", "spring", "--dpi", "72", "--out", file("k.pdf")}, 2, "72 dots", ""},
			{"too many blanks", []string{"blanks", "spring", "--count", "201", "--out", file("k.pdf")}, 2, "201", ""},
			{"blanks where no file can be", []string{"blanks", "spring", "--out", file("none/k.pdf")}, 1, "k.pdf cannot be written", ""},
			{"a piece that is not there", []string{"blanks", "spring", "--piece", "tent", "--out", file("k.pdf")}, 1, `"tent"`, ""},
		} {
			code, out, errs := runCommand(t, p.Data, row.args...)
			if code != row.code || !strings.Contains(out+errs, row.want) {
				t.Errorf("%s, alone %v: %d %q %q", row.why, alone, code, out, errs)
			}
			if row.file == "" {
				continue
			}
			b, err := os.ReadFile(file(row.file))
			if err != nil || len(b) < 1000 {
				t.Errorf("%s: %d bytes, %v", row.why, len(b), err)
			}
			os.Remove(file(row.file))
		}
		if _, err := os.Stat(file("k.pdf")); err == nil {
			t.Error("a command that failed left a file")
		}
	}
	if code, _, errs := runCommand(t, t.TempDir(), "label", "spring", "--out", file("k.pdf")); code != 1 || !strings.Contains(errs, "there is no journal") {
		t.Errorf("no journal: %d %q", code, errs)
	}
}

// No two labels that were printed bear one number, whoever printed them.
func TestBlanksHaveTheirOwnNumbers(t *testing.T) {
	p := newProgramWithExample(t)
	seen := map[string]bool{}
	for range 3 {
		o := labelFilesRequest{Blanks: &hub.BlanksRequest{Batch: "spring", Count: 30, Sheet: "a4-70x37"}, Format: "pdf"}
		o.Batch, o.Sheet, o.LabelKind = "spring", "a4-70x37", "blanks"
		made, err := p.renderer.makeLabels(t.Context(), p.journalHub, o)
		if err != nil || len(made.Labels.Labels) != 30 {
			t.Fatalf("%d labels, %v", len(made.Labels.Labels), err)
		}
		for _, l := range made.Labels.Labels {
			if seen[l.Text.Number] || l.Text.Address == "" || l.Text.Caution == "" || len(l.Text.Lines) == 0 {
				t.Fatalf("blank %+v", l.Text)
			}
			seen[l.Text.Number] = true
		}
	}
}

// A used number cannot be used again, so none is used where the labels cannot be written.
func TestFailedBlanksUseNoNumber(t *testing.T) {
	p := newProgramWithExample(t)
	if code, out, errs := runCommand(t, p.Data, "blanks", "spring", "--out", filepath.Join(t.TempDir(), "none", "a.pdf")); code != 1 {
		t.Fatalf("%d %q %q", code, out, errs)
	}
	o := labelFilesRequest{Format: "pdf"}
	o.Batch, o.Sheet, o.LabelKind = "spring", "a4-70x37", "blanks"
	if made, err := p.renderer.makeLabels(t.Context(), p.journalHub, o); !fault.Is(err, fault.NotFound) {
		t.Errorf("taken are %+v, %v", made, err)
	}
}

// What the command printed is read back by a program that is not ours, and says the
// number that stands beside it.
func TestPrintedLabelsScan(t *testing.T) {
	need.Programs(t, "pdftoppm", "zbarimg")
	p := newProgramWithExample(t)
	dir := t.TempDir()
	pdf, picture := filepath.Join(dir, "labels.pdf"), filepath.Join(dir, "page")
	if code, _, errs := runCommand(t, p.Data, "label", "spring", "--sheet", "roll-50x30", "--out", pdf); code != 0 {
		t.Fatal(errs)
	}
	made, err := p.journalHub.LayOutLabels(t.Context(), p.journalHub.LocalAsker(), hub.LabelsRequest{Batch: "spring", LabelLayoutRequest: batchview.LabelLayoutRequest{Sheet: "roll-50x30"}})
	if err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "203", "-gray", "-png", pdf, picture).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	pages, err := filepath.Glob(picture + "*.png")
	if err != nil || len(pages) != len(made.Labels) {
		t.Fatalf("%d pages of %d labels, %v", len(pages), len(made.Labels), err)
	}
	for i, page := range pages {
		out, err := exec.Command("zbarimg", "-q", "--raw", page).Output()
		text := strings.TrimSpace(string(out))
		code, ok := label.FindCode(text)
		if err != nil || !ok || !strings.HasPrefix(text, "HTTPS://COLDBATCH.LOCAL:8443/B/") {
			t.Errorf("page %d reads %q, %v", i+1, text, err)
			continue
		}
		l, err := label.Decode(code)
		want := made.Labels[i].Text.Number
		if got, _ := json.Marshal(l.Number); err != nil || !strings.HasPrefix(want, string(got)) {
			t.Errorf("page %d says bag %s, %v; beside it stands %s", i+1, got, err, want)
		}
	}
}

// A phone gets the same labels as the command writes to a file.
func TestPhoneGetsSheet(t *testing.T) {
	p := newProgramWithExample(t)
	resp := fetch(t, p, "/api/v1/sheet?batch=spring&sheet=a4-105x74&start=3&cut=1&mono=1&us=1&dpi=300")
	if resp.code != 200 || !strings.HasPrefix(resp.body, "%PDF-") || resp.kind != "application/pdf" {
		t.Errorf("%d %s %.40q", resp.code, resp.kind, resp.body)
	}
	if resp := fetch(t, p, "/api/v1/sheet?batch=spring&what=bottles&copies=2&form=svg&comma=1&sheet=a4-105x74"); resp.code != 200 || strings.Count(strings.ToUpper(resp.body), "NOT A DRINK") != 6 || !strings.Contains(resp.body, "34,4 g/L") {
		t.Errorf("two bottles of each colour: %d %s", resp.code, resp.body)
	}
	for query, want := range map[string]string{
		"batch=spring&what=bottles&colours=none":   "this batch has no colours",
		"batch=spring&what=blanks&prints=none":     "no numbered blanks",
		"batch=spring&what=bucket&copies=9999":     "cannot be printed at a time",
		"batch=spring&start=x":                     `\"x\" is not a whole number`,
		"batch=spring&sheet=roll-62&form=png":      "ask for a PDF",
		"batch=spring&form=png&dpi=2400":           "too large a picture",
		"batch=none":                               "there is no batch",
		"batch=spring&what=sails":                  "there is no kind of label",
		"batch=spring&what=bucket&form=gif":        ".pdf, .svg or .png",
		"batch=spring&what=bucket&sheet=1000x1000": "not accepted",
	} {
		if resp := fetch(t, p, "/api/v1/sheet?"+query); resp.code < 400 || !strings.Contains(resp.body, want) {
			t.Errorf("%s: %d %s", query, resp.code, resp.body)
		}
	}
}

type fetchedFile struct {
	code       int
	kind, body string
}

// fetch asks the program from its own computer.
func fetch(t *testing.T, p *Program, path string) fetchedFile {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), "GET", p.URL()+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return fetchedFile{resp.StatusCode, resp.Header.Get("Content-Type"), string(body)}
}

// Whatever a phone asks of labels, it gets a file or a sentence, and a helper nothing
// of a batch that it does not help with.
func FuzzSheet(f *testing.F) {
	f.Add("spring", "a4-105x74", "bags", "pdf", "1,2H,", "3", "300", "")
	f.Add("spring", "100x50", "bucket", "svg", "", "", "2400", "2")
	f.Add("s", "roll-62", "bottles", "svg", "", "-9223372036854775808", "", "9223372036854775807")
	f.Add("", "1e308x0x1", "blanks", "gif", ",", "1", "0x10", "-1")
	s, err := store.Open(filepath.Join(f.TempDir(), journalFile), store.Options{})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { s.Close() })
	h, err := hub.Open(storeJournal{s}, api.Identity{Zone: "Europe/Lisbon"}, machineSystem())
	if err != nil {
		f.Fatal(err)
	}
	facts, err := batchview.Example(machineSystem().Now(), "Europe/Lisbon", machineSystem().Random)
	if err != nil {
		f.Fatal(err)
	}
	if err := h.SeedFacts(f.Context(), facts); err != nil {
		f.Fatal(err)
	}
	renderer := newLabelRenderer()
	elsewhere := rights.Asker{Role: rights.Helper, Device: facts[0].Device, Batches: []journal.ID{facts[0].Device}}
	f.Fuzz(func(t *testing.T, name, stock, what, form, bags, start, dpi, copies string) {
		if form == "png" {
			return // a picture takes long to draw
		}
		q := url.Values{}
		for key, value := range map[string]string{"batch": name, "sheet": stock, "what": what, "form": form, "bags": bags, "start": start, "dpi": dpi, "copies": copies, "prints": bags, "colours": bags, "cut": "1"} {
			q.Set(key, value)
		}
		file, err := renderer.printLabels(t.Context(), h, h.LocalAsker(), q)
		if told := fault.AsFault(err); err != nil && (told.Code == fault.Internal || told.Sentence == "") || err == nil && len(file.Body) == 0 {
			t.Errorf("%q: told %v", q, err)
		}
		if _, err := renderer.printLabels(t.Context(), h, elsewhere, q); err == nil {
			t.Errorf("%q: a helper of another batch got labels", q)
		}
	})
}

func TestRunsOfNumbers(t *testing.T) {
	for _, row := range []struct{ numbers, want string }{
		{"22 3 7", "22, 3, 7"}, {"1 2 3 4", "1 to 4"}, {"1 2", "1, 2"}, {"7", "7"}, {"19 20 1B 2B", "19, 20, 1B, 2B"}, {"RU DY", "RU, DY"}, {"5 6 7 9 11 12 13", "5 to 7, 9, 11 to 13"}, {"", ""},
	} {
		if got := joinNumbers(strings.Fields(row.numbers)); got != row.want {
			t.Errorf("%s is told as %q", row.numbers, got)
		}
	}
}
