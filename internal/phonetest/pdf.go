//go:build unix

package phonetest

import (
	"bytes"
	"context"
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

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// PDF is a PDF with the sizes of its pages, in mm.
type PDF struct {
	t     *testing.T
	path  string
	sizes [][2]float64
}

// countPrints stands in for the browser's window.print, which opens a dialog that no
// test can close: how it behaves without a screen differs from version to version.
const countPrints = `globalThis.printCalls = 0; globalThis.print = () => { printCalls++; };`

// CheckPrints fails unless the page called the browser's print want times since it was loaded.
func (p *Phone) CheckPrints(want int) {
	p.T.Helper()
	if n := Evaluate[int](p, `printCalls`); n != want {
		p.T.Errorf("the page printed %d times, not %d", n, want)
	}
}

// PrintToPDF prints the page that is open as the browser's own print does: on the paper
// that the page's style names.
func (p *Phone) PrintToPDF() PDF {
	p.T.Helper()
	var data []byte
	p.Run(func(ctx context.Context) error {
		got, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: new(true), PrintBackground: new(true)})
		if err == nil {
			data = got.Data
		}
		return err
	})
	return ReadPDF(p.T, data)
}

// ReadPDF measures a PDF by a program that is not ours.
func ReadPDF(t *testing.T, data []byte) PDF {
	t.Helper()
	f := PDF{t: t, path: filepath.Join(t.TempDir(), "labels.pdf")}
	if err := os.WriteFile(f.path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdfinfo", "-l", "99", f.path).Output()
	if err != nil {
		t.Fatalf("pdfinfo: %v", err)
	}
	for _, m := range regexp.MustCompile(`(?m)^Page +\d+ size: +([\d.]+) x ([\d.]+) pts`).FindAllStringSubmatch(string(out), -1) {
		w, _ := strconv.ParseFloat(m[1], 64)
		h, _ := strconv.ParseFloat(m[2], 64)
		f.sizes = append(f.sizes, [2]float64{w / 72 * 25.4, h / 72 * 25.4})
	}
	return f
}

// CheckPages fails the test unless the PDF has n pages of width × height mm. The browser rounds paper to
// the dots of a printer it supposes: A4 is 209.89 mm wide, also where its style says
// A4. What stands on the paper is measured by ink.
func (f PDF) CheckPages(n int, width, height float64) {
	f.t.Helper()
	if len(f.sizes) != n {
		f.t.Errorf("%d pages, not %d", len(f.sizes), n)
	}
	for i, size := range f.sizes {
		if math.Abs(size[0]-width) > 0.2 || math.Abs(size[1]-height) > 0.2 {
			f.t.Errorf("page %d is %.2f × %.2f mm, not %g × %g", i+1, size[0], size[1], width, height)
		}
	}
}

// CheckCodes wants exactly those codes on all pages, however often each, as another
// program reads them from a raster of 203 dots an inch. Of many codes on a page that program misses one
// now and then; then it looks again, at 300 dots, as a person scans a label again.
func (f PDF) CheckCodes(want ...string) {
	f.t.Helper()
	got := map[string]bool{}
	for _, dpi := range []int{203, 300} {
		for _, picture := range f.raster(dpi) {
			out, _ := exec.Command("zbarimg", "-q", "--raw", picture).Output() // it fails where there is no code: seen below
			for line := range strings.Lines(string(out)) {
				got[strings.TrimSpace(line)] = true
			}
		}
		if len(got) >= len(want) {
			break
		}
	}
	if have := slices.Sorted(maps.Keys(got)); !slices.Equal(have, slices.Sorted(slices.Values(want))) {
		f.t.Errorf("read are %d codes, not the %d printed:\n%s", len(have), len(want), strings.Join(have, "\n"))
	}
}

func (f PDF) raster(dpi int) []string {
	f.t.Helper()
	stem := strings.TrimSuffix(f.path, ".pdf")
	if out, err := exec.Command("pdftoppm", "-r", strconv.Itoa(dpi), "-gray", "-png", f.path, stem).CombinedOutput(); err != nil {
		f.t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	pages, err := filepath.Glob(stem + "*.png")
	if err != nil || len(pages) != len(f.sizes) {
		f.t.Fatalf("%d pictures of %d pages, %v", len(pages), len(f.sizes), err)
	}
	return pages
}

// InkBox returns the box in mm around all that is printed on the first page.
func (f PDF) InkBox() (left, top, right, bottom float64) {
	f.t.Helper()
	const dpi = 254 // a dot is a tenth of a millimetre
	b, err := os.ReadFile(f.raster(dpi)[0])
	if err != nil {
		f.t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		f.t.Fatal(err)
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

// WaitForPages waits until the screen shows all texts, and the pages of labels that
// belong to them.
func (p *Phone) WaitForPages(texts ...string) {
	p.T.Helper()
	p.WaitForText(texts...)
	p.WaitFor("the pages", `document.querySelector('.pages') && !document.querySelector('.stale')`)
}
