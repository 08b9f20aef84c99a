//go:build unix

package main

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"image/png"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/need"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// sheets is a PDF with the sizes of its pages, in mm.
type sheets struct {
	t     *testing.T
	path  string
	sizes [][2]float64
}

// print prints the page that is open as the browser's own print does: on the paper
// that the page's style names.
func (p *phone) print() sheets {
	p.t.Helper()
	var data []byte
	p.call(func(ctx context.Context) error {
		got, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: new(true), PrintBackground: new(true)})
		if err == nil {
			data = got.Data
		}
		return err
	})
	return readSheets(p.t, data)
}

// readSheets measures a PDF by a program that is not ours.
func readSheets(t *testing.T, data []byte) sheets {
	t.Helper()
	s := sheets{t: t, path: filepath.Join(t.TempDir(), "labels.pdf")}
	if err := os.WriteFile(s.path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdfinfo", "-l", "99", s.path).Output()
	if err != nil {
		t.Fatalf("pdfinfo: %v", err)
	}
	for _, m := range regexp.MustCompile(`(?m)^Page +\d+ size: +([\d.]+) x ([\d.]+) pts`).FindAllStringSubmatch(string(out), -1) {
		w, _ := strconv.ParseFloat(m[1], 64)
		h, _ := strconv.ParseFloat(m[2], 64)
		s.sizes = append(s.sizes, [2]float64{w / 72 * 25.4, h / 72 * 25.4})
	}
	return s
}

// are says whether there are so many pages of that size. The browser rounds paper to
// the dots of a printer it supposes: A4 is 209.89 mm wide, also where its style says
// A4. What stands on the paper is measured by ink.
func (s sheets) are(n int, width, height float64) {
	s.t.Helper()
	if len(s.sizes) != n {
		s.t.Errorf("%d pages, not %d", len(s.sizes), n)
	}
	for i, size := range s.sizes {
		if math.Abs(size[0]-width) > 0.2 || math.Abs(size[1]-height) > 0.2 {
			s.t.Errorf("page %d is %.2f × %.2f mm, not %g × %g", i+1, size[0], size[1], width, height)
		}
	}
}

// reads wants exactly those codes on all pages, however often each, as another
// program reads them from a raster of 203 dots an inch.
func (s sheets) reads(want ...string) {
	s.t.Helper()
	got := map[string]bool{}
	for _, picture := range s.raster(203) {
		out, _ := exec.Command("zbarimg", "-q", "--raw", picture).Output() // fails where there is none: told below
		for line := range strings.Lines(string(out)) {
			got[strings.TrimSpace(line)] = true
		}
	}
	if have := slices.Sorted(maps.Keys(got)); !slices.Equal(have, slices.Sorted(slices.Values(want))) {
		s.t.Errorf("read are %d codes, not the %d printed:\n%s", len(have), len(want), strings.Join(have, "\n"))
	}
}

func (s sheets) raster(dpi int) []string {
	s.t.Helper()
	stem := strings.TrimSuffix(s.path, ".pdf")
	if out, err := exec.Command("pdftoppm", "-r", strconv.Itoa(dpi), "-gray", "-png", s.path, stem).CombinedOutput(); err != nil {
		s.t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	pages, err := filepath.Glob(stem + "*.png")
	if err != nil || len(pages) != len(s.sizes) {
		s.t.Fatalf("%d pictures of %d pages, %v", len(pages), len(s.sizes), err)
	}
	return pages
}

// ink gives the box in mm around all that is printed on the first page.
func (s sheets) ink() (left, top, right, bottom float64) {
	s.t.Helper()
	const dpi = 254 // a dot is a tenth of a millimetre
	b, err := os.ReadFile(s.raster(dpi)[0])
	if err != nil {
		s.t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		s.t.Fatal(err)
	}
	left, top = math.Inf(1), math.Inf(1)
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				left, right = min(left, float64(x)/10), max(right, float64(x+1)/10)
				top, bottom = min(top, float64(y)/10), max(bottom, float64(y+1)/10)
			}
		}
	}
	return left, top, right, bottom
}

// addresses gives what the codes of a batch's blanks say, or of the tags of its
// pieces, by number.
func (p *phone) addresses(path string, tags bool) map[string]string {
	p.t.Helper()
	return asked[map[string]string](p, fmt.Sprintf(`(async () => {
		const {call} = await import('/core/core.js'), {state} = await import('/journal/states.js'), {env} = await import('/journal/env.js');
		const all = await call('batch.blanks', {state: await state(%q.slice(1)), env: await env(), tags: %t});
		return Object.fromEntries(all.map(b => [b.number, b.address]));
	})()`, path, tags))
}

// wrote gives the bodies of the facts of a kind that hold on the phone.
func (p *phone) wrote(path, kind string) []map[string]any {
	p.t.Helper()
	return asked[[]map[string]any](p, fmt.Sprintf(`(async () => {
		const {ofScope} = await import('/journal/facts.js');
		const facts = await ofScope(%q.slice(1)), all = kind => facts.filter(f => f.kind === kind).map(f => f.body.target);
		const back = all('fact.restored'), gone = all('fact.withdrawn').filter(id => !back.includes(id));
		return facts.filter(f => f.kind === %q && !gone.includes(f.id)).map(f => f.body);
	})()`, path, kind))
}

// Numbered blanks are printed with the program stopped, on a sheet that is half used:
// their numbers are taken first, each code reads back, the paper is told to the
// printer to a tenth of a millimetre. The next time nothing is left to choose; what was printed
// can be printed again, and taken back.
func TestPrintsBlanksAlone(t *testing.T) {
	need.Programs(t, "pdfinfo", "pdftoppm", "zbarimg")
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	p.open(batch + "/bagging")
	p.tap("Print numbered blanks first…")
	p.see("Print blanks 1–24") // more than the hub gives by itself
	p.audit("blanks to print")
	p.settled()
	p.installed()
	p.alone()
	h.stop()

	p.open(batch)
	p.tap("Print labels…")
	p.tap("A4, 70 × 37 mm…")
	p.tap("A4, 105 × 74 mm…")
	p.tap("black alone")
	p.tap("Done")
	p.tap("a whole sheet…")
	p.audit("the first free label")
	p.tap("Begin at label 3")
	p.see("from label 3 on", "Print blanks 1–6", "the hub is not reached")
	p.tap("Print blanks 1–6")
	p.see("6 labels printed", "1–6", "none tied on yet", "a whole sheet") // the sheet was used up
	p.tap("Undo")
	p.see("Taken back", "Print blanks 7–14") // a number that may have been printed is not given twice
	if n := len(p.addresses(batch, false)); n != 0 {
		t.Errorf("%d blanks hold", n)
	}
	p.tap("Redo")
	p.see("Put back", "1–6")
	if runs := p.wrote(batch, "blanks.printed"); len(runs) != 1 || runs[0]["from"] != 1. || runs[0]["to"] != 6. || runs[0]["sheet"] != "a4-105x74" {
		t.Errorf("recorded is %v", runs)
	}

	// Printed again they bear the same codes, from where one likes.
	p.tap("1–6…")
	p.tap("a whole sheet…")
	p.tap("Begin at label 3")
	p.laid("from label 3 on", "Print blanks 1–6")
	codes := p.addresses(batch, false)
	s := p.print()
	s.are(1, 210, 297)
	s.reads(slices.Collect(maps.Values(codes))...)
	// The outline of a tag stands 2 mm inside of its label and is 0.44 mm wide; the
	// sheet's own labels begin 0.5 mm from its top.
	left, top, right, bottom := s.ink()
	for _, side := range []struct{ got, want float64 }{{left, 1.78}, {top, 74.5 + 1.78}, {right, 210 - 1.78}, {bottom, 296.5 - 1.78}} {
		if math.Abs(side.got-side.want) > 0.15 {
			t.Errorf("the ink is %.1f to %.1f mm across, %.1f to %.1f mm down", left, right, top, bottom)
			break
		}
	}

	// The same phone, another day: the paper is remembered, and one tap prints.
	p.open(batch + "/labels")
	p.see("A4, 105 × 74 mm", "black alone", "Print blanks 7–14")
	own := asked[int](p, fmt.Sprintf(`import('/labels/labels.js').then(({left}) => left(%q.slice(7)))`, batch)) // by which block came first
	p.fill("How many", strconv.Itoa(own+2))
	p.see(fmt.Sprintf("This phone has %d numbers of its own", own), "the others bear this phone’s letter")
	p.tap(fmt.Sprintf("Print %d now", own))
	p.laid(fmt.Sprintf("Print blanks 7–%d", own+6))
	s = p.print()
	s.are((own+7)/8, 210, 297)

	// Tags of a piece, small, on a roll of one's own.
	p.open(batch + "/pieces")
	p.tap("3 napkins…")
	p.tap("Print tags for it…")
	p.see("Print tags 7–9")
	p.tap("A4, 105 × 74 mm…")
	p.tap("another size…")
	p.fill("Width", "40")
	p.fill("Height", "20")
	p.laid("The labels have no room for the code")
	p.fill("Width", "50")
	p.fill("Height", "25")
	p.tap("Done")
	p.tap("Print tags 7–9")
	p.laid("3 labels printed", "Napkin, wedge", "Not again")
	s = p.print()
	s.are(3, 50, 25)
	s.reads(slices.Collect(maps.Values(p.addresses(batch, true)))...)
	p.allow("ERR_INTERNET_DISCONNECTED")
}

// Labels of bags, of bottles and of the bucket. Only a label that is not printed yet,
// or that does not hold any more, is chosen by itself; printing is recorded, and taken
// back. Near the hub the same labels are saved as a PDF.
func TestPrintsLabels(t *testing.T) {
	need.Programs(t, "pdfinfo", "pdftoppm", "zbarimg")
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	p.open(batch + "/bagging")
	p.see("Close bag 1")
	for n := range 2 {
		p.tap(fmt.Sprintf("Close bag %d", n+1))
		p.see(fmt.Sprintf("Bag %d closed", n+1))
	}
	p.open(batch + "/labels")
	p.laid("2 labels to print", "Print 2 labels")
	bags := asked[map[string]string](p, fmt.Sprintf(`import('/journal/views.js').then(async ({batchView}) => Object.fromEntries((await batchView(%q.slice(7))).bags.map(b => [b.number, b.address])))`, batch))
	s := p.print()
	s.are(1, 210, 297)
	s.reads(bags["1"], bags["2"])
	p.tap("Bags 1 and 2")
	p.tap("Bag 1…")
	p.see("Print the label")
	p.tap("Print the label")
	p.see("Label of bag 2 printed", "1 label to print")
	printed := p.wrote(batch, "bag.printed")
	if len(printed) != 1 || printed[0]["sheet"] != "a4-70x37" || !strings.HasSuffix(bags["2"], fmt.Sprint("/B/", printed[0]["code"])) || printed[0]["ready"] == 0. {
		t.Errorf("recorded is %v", printed)
	}
	p.tap("Undo")
	p.see("Taken back", "2 labels to print")
	p.tap("Print 2 labels")
	p.see("2 labels printed", "all printed", "The labels of all bags are printed, and still hold")

	// The label of a bag that changed since is chosen again, and says why.
	asked[bool](p, fmt.Sprintf(`(async () => {
		const {record} = await import('/journal/journal.js'), {state} = await import('/journal/states.js');
		const scope = %q.slice(1), bag = (await state(scope)).bags[0];
		await record([{scope, subject: bag.id, kind: 'bag.changed', body: {pieces: [{piece: bag.pieces[0].piece, count: 1}], celsius: 35}}, {scope, subject: bag.id, kind: 'bag.moved', body: {celsius: 35}}]);
		return true;
	})()`, batch))
	p.see("1 label to print", "Print the label", "the printed label says another time")
	p.audit("a label that does not hold")

	// A piece is put into another bag: the label that was printed leads to the bag that it
	// names, and from there on to the other.
	p.open(bags["1"][strings.Index(bags["1"], "/B/"):])
	p.tap("Into another bag")
	p.fill("Of 3 napkins, wedge: 1 in this bag", "1")
	p.audit("into another bag")
	p.tap("Close bag 3 with it")
	p.see("Bag 3 closed", "empty: its pieces are in another bag", "pieces were taken over into it")
	p.tap("Bag 3…")
	p.see("keep wet and warm", "napkin")
	p.tap("Undo")
	p.see("Taken back")
	p.open(bags["1"][strings.Index(bags["1"], "/B/"):])
	p.see("keep wet and warm", "Bag 1")

	// Bottles and the bucket.
	p.open(batch + "/jugs")
	p.tap("Print a label for the bottle…")
	p.see("Not a drink", "26.2 g/L", "no soda ash in it", "in the eye")
	p.fill("Bottles of each colour", "3")
	p.see("Print 3 labels")
	p.open(batch + "/soak")
	p.tap("Print a label for the bucket…")
	p.see("SODA", "Not a drink", "Harms eyes")

	// As a PDF by the hub: what the screen shows, no more.
	p.open(batch + "/labels")
	p.tap("A4, 70 × 37 mm…")
	p.tap("roll, 50 × 30 mm…")
	p.tap("Done")
	p.tap("All 2")
	p.see("Print 2 labels")
	asked[bool](p, `{ const real = URL.createObjectURL; URL.createObjectURL = f => { globalThis.saved = f; return real(f); }; true }`)
	p.tap("PDF to save")
	p.see("all printed")
	data, err := base64.StdEncoding.DecodeString(asked[string](p, `saved.arrayBuffer().then(b => btoa(String.fromCharCode(...new Uint8Array(b))))`))
	if err != nil {
		t.Fatal(err)
	}
	s = readSheets(t, data)
	s.are(2, 50, 30)
	var want []string
	for _, x := range p.wrote(batch, "bag.printed") {
		if x["sheet"] == "roll-50x30" {
			want = append(want, bags["1"][:strings.LastIndex(bags["1"], "/")+1]+fmt.Sprint(x["code"]))
		}
	}
	s.reads(want...)
}

// laid waits until the pages are those of what is chosen.
func (p *phone) laid(texts ...string) {
	p.t.Helper()
	p.see(texts...)
	p.wait("the pages", `document.querySelector('.pages') && !document.querySelector('.stale')`)
}
