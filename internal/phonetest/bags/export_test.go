//go:build unix

package bags_test

import (
	"bytes"
	"encoding/base64"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// keepSavedFiles keeps what the app saves, in the place of the phone's share menu.
const keepSavedFiles = `(() => {
	globalThis.savedFiles = {};
	const make = URL.createObjectURL, click = HTMLAnchorElement.prototype.click;
	URL.createObjectURL = (file) => {
		if (file.name) savedFiles[file.name] = file.arrayBuffer();
		return make.call(URL, file);
	};
	HTMLAnchorElement.prototype.click = function () {
		if (!this.download) click.call(this);
	};
	Object.defineProperty(navigator, 'canShare', {value: undefined});
	return true;
})()`

// savedFile returns a file whose name ends in ext.
func savedFile(p *phonetest.Phone, ext string) []byte {
	p.T.Helper()
	text := phonetest.Evaluate[string](p, `(async () => {
		const name = Object.keys(savedFiles).find((n) => n.endsWith('`+ext+`')), bytes = new Uint8Array(await savedFiles[name]);
		let text = '';
		for (let i = 0; i < bytes.length; i += 30000) text += String.fromCharCode(...bytes.subarray(i, i + 30000));
		return btoa(text);
	})()`)
	b, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		p.T.Fatal(err)
	}
	return b
}

// What a phone saves is what the program exports: the table byte for byte; and the zip with its photo,
// read by another house's program or by its phone, holds every entry, once however often it is read.
func TestExportFromThePhone(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p := phonetest.Start(t)
	paths := phonetest.Evaluate[[]string](p, recordWashedBatches)
	p.GoTo(paths[1])
	p.ChoosePhoto(phonetest.WriteJPEG(t, image.NewGray(image.Rect(0, 0, 80, 60))))
	p.WaitForText("photo of bag 1 saved")
	p.WaitForSync()
	hubtest.WaitUntil(t, "the photo", func() bool { return h.CountFacts(journal.KindPiecePhotographed) == 1 })
	phonetest.Evaluate[bool](p, keepSavedFiles)
	p.GoTo("/phone")
	p.Tap("Save a zip with photos")
	p.WaitForText("entries and 1 photo saved")
	p.Audit("files of this phone")
	p.Tap("Save a table")
	p.WaitFor("the table", `Object.keys(savedFiles).some((n) => n.endsWith('.csv'))`)

	dir := t.TempDir()
	run := func(args ...string) string {
		t.Helper()
		out, err := exec.CommandContext(t.Context(), hubtest.Binary(t), args...).CombinedOutput()
		if err != nil {
			t.Fatalf("%q: %v: %s", args, err, out)
		}
		return string(out)
	}
	export := func(h *hubtest.Hub, name string) []byte {
		t.Helper()
		path := filepath.Join(dir, name)
		run("export", "--data", h.Data, path)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	if table, want := savedFile(p, ".csv"), export(h, "hub.csv"); !bytes.Equal(table, want) {
		t.Errorf("the phone's table:\n%s\nthe program's:\n%s", table, want)
	}
	archive := filepath.Join(dir, "phone.zip")
	if err := os.WriteFile(archive, savedFile(p, ".zip"), 0o600); err != nil {
		t.Fatal(err)
	}

	other, q := phonetest.Start(t)
	q.GoTo("/phone")
	load := func(says string) {
		t.Helper()
		q.Do(chromedp.SetUploadFiles(chromedp.CSS(`main input[type=file]`), []string{archive}))
		q.WaitForText(says)
	}
	load("entries read")
	q.WaitForSync()
	hubtest.WaitUntil(t, "every entry", func() bool { return len(other.PersonFacts()) >= len(h.PersonFacts()) })
	load(", 0 of them new")
	q.GoTo(paths[1])
	q.WaitForPhoto("tee")
	wanted := export(h, "first.json")
	if got := export(other, "second.json"); !bytes.Equal(sortedLines(got), sortedLines(wanted)) {
		t.Errorf("the other house has\n%s\nnot\n%s", got, wanted)
	}
	if says := run("import", "--data", other.Data, archive); !strings.HasPrefix(says, "0 entries of ") {
		t.Errorf("read twice, it says %q", says)
	}
	// The program's zip is packed; a phone reads it too.
	packed := filepath.Join(dir, "hub.zip")
	run("export", "--data", h.Data, packed)
	archive = packed
	q.GoTo("/phone")
	q.WaitForText("save a table") // the bag's screen has a button for a file too
	load(", 0 of them new")
}

// sortedLines returns the facts of an export in order, without what the program writes by itself.
func sortedLines(text []byte) []byte {
	var lines [][]byte
	for line := range bytes.Lines(text) {
		line = bytes.TrimRight(line, ",\n")
		if bytes.Contains(line, []byte(`"kind"`)) && !bytes.Contains(line, []byte(journal.KindNumbersLeased)) && !bytes.Contains(line, []byte(journal.KindDeviceJoined)) {
			lines = append(lines, line)
		}
	}
	slices.SortFunc(lines, bytes.Compare)
	return bytes.Join(lines, []byte("\n"))
}
