package press

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"coldbatch/internal/need"
	"coldbatch/internal/sheet"
)

// printPages writes pages as a PDF and returns poppler's pictures of them.
func printPages(t testing.TB, pages []sheet.Page, dpi int) []image.Image {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, "labels.pdf")
	writePDF(t, path, pages)
	if out, err := exec.Command("pdftoppm", "-r", fmt.Sprint(dpi), "-gray", "-png", path, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	files, err := filepath.Glob(filepath.Join(dir, "page*.png"))
	if err != nil || len(files) != len(pages) {
		t.Fatalf("%d pictures of %d pages, %v", len(files), len(pages), err)
	}
	var all []image.Image
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, img)
	}
	return all
}

func writePDF(t testing.TB, path string, pages []sheet.Page) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := PDF(f, "labels", time.Unix(1_777_644_600, 0), pages); err != nil {
		t.Fatal(err)
	}
}

// codeReader is a program or library that reads codes, none of them ours. It gives
// what it read of each picture, "" for nothing.
type codeReader struct {
	name string
	read func(t testing.TB, pictures []image.Image) []string
}

// codeReaders are zbar, gozxing, and the one that the phone app carries.
var codeReaders = []codeReader{{"zbar", readWithZbar}, {"gozxing", readWithGozxing}, {"zxing-wasm", readWithApp}}

// writePNGFiles writes pictures into a folder and returns their names, in order.
func writePNGFiles(t testing.TB, pictures []image.Image) (names []string) {
	t.Helper()
	dir := t.TempDir()
	for i, p := range pictures {
		names = append(names, filepath.Join(dir, fmt.Sprintf("%d.png", i)))
		var b bytes.Buffer
		if err := png.Encode(&b, p); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(names[i], b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return names
}

func readWithZbar(t testing.TB, pictures []image.Image) []string {
	t.Helper()
	names := writePNGFiles(t, pictures)
	place := map[string]int{}
	for i, name := range names {
		place[name] = i
	}
	args := append([]string{"--quiet", "--xml", "-Sdisable", "-Sqrcode.enable"}, names...)
	out, _ := exec.Command("zbarimg", args...).Output() // fails where one does not read: the test says which
	var found struct {
		Sources []struct {
			Name string `xml:"href,attr"`
			Data string `xml:"index>symbol>data"`
		} `xml:"source"`
	}
	if err := xml.Unmarshal(out, &found); err != nil {
		t.Fatalf("zbarimg: %v\n%s", err, out)
	}
	texts := make([]string, len(pictures))
	for _, s := range found.Sources {
		texts[place[s.Name]] = s.Data
	}
	return texts
}

// readWithApp reads with the settings for a frame of the camera.
func readWithApp(t testing.TB, pictures []image.Image) []string {
	t.Helper()
	cmd := exec.Command("node", "../../testdata/scan/read.mjs")
	cmd.Stdin = strings.NewReader(strings.Join(writePNGFiles(t, pictures), "\n"))
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v\n%s", err, &errs)
	}
	texts := make([]string, len(pictures))
	d := json.NewDecoder(bytes.NewReader(out))
	for i := range texts {
		var said struct{ Texts []string }
		if err := d.Decode(&said); err != nil {
			t.Fatalf("node: %v in %s", err, out)
		}
		texts[i] = strings.Join(said.Texts, " and ")
	}
	return texts
}

func readWithGozxing(t testing.TB, pictures []image.Image) []string {
	t.Helper()
	texts := make([]string, len(pictures))
	for i, p := range pictures {
		b, err := gozxing.NewBinaryBitmapFromImage(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, hints := range []map[gozxing.DecodeHintType]any{{gozxing.DecodeHintType_TRY_HARDER: true}, {gozxing.DecodeHintType_PURE_BARCODE: true}} {
			if r, err := qrcode.NewQRCodeReader().Decode(b, hints); err == nil {
				texts[i] = r.GetText()
				break
			}
		}
	}
	return texts
}

// crop cuts a code with its quiet zone out of the picture of its page.
func crop(page image.Image, c sheet.CodeBox, dpi int) image.Image {
	quiet := sheet.QuietZone * c.Module
	dot := 25.4 / float64(dpi)
	at := func(v float64) int { return int(math.Round(v / dot)) }
	box := image.Rect(at(c.X-quiet), at(c.Y-quiet), at(c.X+float64(c.Size)*c.Module+quiet), at(c.Y+float64(c.Size)*c.Module+quiet))
	out := image.NewGray(image.Rect(0, 0, box.Dx(), box.Dy()))
	draw.Draw(out, out.Bounds(), page, box.Min, draw.Src)
	return out
}

// Every code on every stock, printed and read back: the payload is identical.
func TestEveryCodeReadsBack(t *testing.T) {
	need.CI(t)
	need.Programs(t, "pdftoppm", "zbarimg", "node")
	resolutions := []int{203}
	if os.Getenv("COLDBATCH_LONG") != "" {
		resolutions = []int{203, 300, 600}
	}
	for _, dpi := range resolutions {
		for _, s := range testedPapers(t) {
			job := sheet.PrintJob{Labels: allSampleLabels(t), Paper: s, StartPosition: 2, CutLines: true, Options: sheet.Options{DPI: dpi}}
			if s.Columns*s.Rows == 1 {
				job.StartPosition = 1
			}
			pages, _, err := job.Pages()
			if err != nil {
				t.Fatal(err)
			}
			var pictures []image.Image
			var want []string
			for i, img := range printPages(t, pages, dpi) {
				for _, c := range pages[i].Codes {
					pictures, want = append(pictures, crop(img, c, dpi)), append(want, c.Text)
				}
			}
			coded := 0
			for _, tag := range job.Labels {
				if tag.Address != "" {
					coded++
				}
			}
			if len(want) < coded {
				t.Errorf("%s: %d codes of %d labels", s.Name, len(want), coded)
			}
			for _, r := range codeReaders {
				for i, got := range r.read(t, pictures) {
					if got != want[i] {
						t.Errorf("%s at %d dpi: %s reads %q, want %q", s.Name, dpi, r.name, got, want[i])
					}
				}
			}
			t.Logf("%s at %d dpi: %d codes", s.Name, dpi, len(want))
		}
	}
}

// A PNG for the head of a label printer reads back too, dot by dot.
func TestPNGReadsBack(t *testing.T) {
	need.Programs(t, "zbarimg", "node")
	for _, mono := range []bool{false, true} {
		s, err := sheet.FindPaper("62x29")
		if err != nil {
			t.Fatal(err)
		}
		pages, _, err := sheet.PrintJob{Labels: []sheet.LabelText{sampleBagText(t, 12, 3), sampleBagText(t, 28, 8)}, Paper: s, Options: sheet.Options{DPI: 300, BlackAndWhite: mono}}.Pages()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pages {
			var b bytes.Buffer
			if err := PNG(&b, p, 300, mono); err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(&b)
			if err != nil || img.Bounds().Dx() != 732 || img.Bounds().Dy() != 343 { // 62 and 29 mm at 300 dpi: 732.3 and 342.5
				t.Fatalf("%v, %v", img.Bounds(), err)
			}
			if p, ok := img.(*image.Paletted); ok != mono || ok && len(p.Palette) != 2 {
				t.Errorf("mono %v gives %T", mono, img)
			}
			pictures := []image.Image{crop(img, p.Codes[0], 300)}
			for _, r := range codeReaders {
				if got := r.read(t, pictures); got[0] != p.Codes[0].Text {
					t.Errorf("%s reads %q, want %q", r.name, got[0], p.Codes[0].Text)
				}
			}
			// One module, one square of dots: 0.45 mm at 300 dpi is 5.3 dots, so 6.
			if module := p.Codes[0].Module * 300 / 25.4; strings.TrimRight(fmt.Sprintf("%.6f", module), "0") != "6." {
				t.Errorf("a module is %g dots", module)
			}
			checkDots(t, img, p.Codes[0], 300)
		}
	}
}

// checkDots checks that every dot of a code has the colour of its module: a module that is
// a dot wider than its neighbour would be seen here.
func checkDots(t *testing.T, img image.Image, c sheet.CodeBox, dpi int) {
	t.Helper()
	dots := func(mm float64) int { return int(math.Round(mm * float64(dpi) / 25.4)) }
	left, top, module := dots(c.X), dots(c.Y), dots(c.Module)
	for y := range c.Size * module {
		for x := range c.Size * module {
			r, _, _, _ := img.At(left+x, top+y).RGBA()
			if isDark, want := r < 0x8000, c.Rows[y/module][x/module] == '1'; isDark != want {
				t.Fatalf("the dot %d, %d of the code is dark: %v", x, y, isDark)
			}
		}
	}
}
