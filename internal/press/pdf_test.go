package press

import (
	"bytes"
	"compress/zlib"
	"encoding/xml"
	"image"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/need"
	"coldbatch/internal/sheet"
)

// tolerance is what a size in a PDF may be off by, in mm.
const tolerance = 0.1

// The sizes that the PDF itself states: its pages, and every code's rectangles.
func TestSizesInThePDF(t *testing.T) {
	for _, s := range testedPapers(t) {
		pages, _, err := sheet.PrintJob{Labels: allSampleLabels(t), Paper: s, Options: sheet.Options{DPI: 203}}.Pages()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := PDF(&b, "labels", time.Unix(0, 0), pages); err != nil {
			t.Fatal(err)
		}
		boxes := mediaBoxes(t, b.Bytes())
		contents := pageContents(t, b.Bytes())
		if len(boxes) != len(pages) || len(contents) != len(pages) {
			t.Fatalf("%s: %d boxes and %d contents of %d pages", s.Name, len(boxes), len(contents), len(pages))
		}
		for i, p := range pages {
			if math.Abs(boxes[i][0]-s.PageWidth) > tolerance/10 || math.Abs(boxes[i][1]-s.PageHeight) > tolerance/10 {
				t.Errorf("%s: a page of %g × %g mm", s.Name, boxes[i][0], boxes[i][1])
			}
			found := rectangles(t, contents[i], p.Height)
			n := 0
			for _, c := range p.Codes {
				for y, row := range c.Rows {
					for _, run := range darkRuns(row) {
						r, want := found[n], [4]float64{c.X + float64(run[0])*c.Module, c.Y + float64(y)*c.Module, float64(run[1]) * c.Module, c.Module}
						for k := range want {
							if math.Abs(r[k]-want[k]) > 0.002 {
								t.Fatalf("%s: a rectangle %v, want %v", s.Name, r, want)
							}
						}
						n++
					}
				}
			}
			if n != len(found) {
				t.Errorf("%s: %d rectangles, of codes %d", s.Name, len(found), n)
			}
		}
	}
}

func darkRuns(row string) (all [][2]int) {
	for x := 0; x < len(row); x++ {
		if row[x] == '1' {
			n := len(row[x:]) - len(strings.TrimLeft(row[x:], "1"))
			all = append(all, [2]int{x, n})
			x += n
		}
	}
	return all
}

var mediaBox = regexp.MustCompile(`/MediaBox ?\[ ?0 0 ([0-9.]+) ([0-9.]+) ?\]`)

// mediaBoxes returns the size of each page in mm. The first is that of the whole,
// where a page does not say its own.
func mediaBoxes(t *testing.T, pdf []byte) (all [][2]float64) {
	t.Helper()
	size := func(m [][]byte) [2]float64 {
		w, err1 := strconv.ParseFloat(string(m[1]), 64)
		h, err2 := strconv.ParseFloat(string(m[2]), 64)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		return [2]float64{w / pointsPerMM, h / pointsPerMM}
	}
	whole := [2]float64{}
	for _, object := range bytes.Split(pdf, []byte("endobj")) {
		m := mediaBox.FindSubmatch(object)
		switch {
		case bytes.Contains(object, []byte("/Type /Pages")) && m != nil:
			whole = size(m)
		case bytes.Contains(object, []byte("/Type /Page\n")) && m != nil:
			all = append(all, size(m))
		case bytes.Contains(object, []byte("/Type /Page\n")):
			all = append(all, [2]float64{})
		}
	}
	for i := range all {
		if all[i] == [2]float64{} {
			all[i] = whole
		}
	}
	return all
}

var streamObject = regexp.MustCompile(`(?s)<</Filter /FlateDecode /Length (\d+)>>\nstream\n`)

// pageContents returns the operators of each page.
func pageContents(t *testing.T, pdf []byte) (all []string) {
	t.Helper()
	for _, m := range streamObject.FindAllSubmatchIndex(pdf, -1) {
		n, err := strconv.Atoi(string(pdf[m[2]:m[3]]))
		if err != nil {
			t.Fatal(err)
		}
		z, err := zlib.NewReader(bytes.NewReader(pdf[m[1] : m[1]+n]))
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), " re\n") || strings.Contains(string(text), " Tj ET") {
			all = append(all, string(text))
		}
	}
	return all
}

// rectangles returns left, top, width and height in mm of each rectangle.
func rectangles(t *testing.T, content string, height float64) (all [][4]float64) {
	t.Helper()
	for line := range strings.Lines(content) {
		f := strings.Fields(line)
		if len(f) != 5 || f[4] != "re" {
			continue
		}
		var v [4]float64
		for i := range v {
			n, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				t.Fatal(err)
			}
			v[i] = n / pointsPerMM
		}
		all = append(all, [4]float64{v[0], height - v[1] - v[3], v[2], v[3]})
	}
	return all
}

// Where poppler finds the words: each begins where the layout says and is as wide.
func TestWordsStandWhereTheyAreLaid(t *testing.T) {
	need.Programs(t, "pdftotext")
	for _, s := range testedPapers(t) {
		tags := allSampleLabels(t)
		pages, _, err := sheet.PrintJob{Labels: tags, Paper: s, Options: sheet.Options{DPI: 203}}.Pages()
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "labels.pdf")
		writePDF(t, path, pages)
		out, err := exec.Command("pdftotext", "-bbox", path, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		var doc struct {
			Pages []struct {
				Words []struct {
					XMin float64 `xml:"xMin,attr"`
					XMax float64 `xml:"xMax,attr"`
					Text string  `xml:",chardata"`
				} `xml:"word"`
			} `xml:"body>doc>page"`
		}
		if err := xml.Unmarshal(out, &doc); err != nil {
			t.Fatal(err)
		}
		looked := 0
		for i, p := range pages {
			for _, x := range p.Texts {
				if strings.ContainsAny(x.Text, " -") || len(x.Text) < 2 {
					continue // poppler's words are ours only where nothing parts them
				}
				near := math.Inf(1)
				for _, w := range doc.Pages[i].Words {
					if w.Text == x.Text {
						near = min(near, max(math.Abs(w.XMin/pointsPerMM-x.X), math.Abs(w.XMax/pointsPerMM-x.X-x.Width*x.Squeeze)))
					}
				}
				if near < math.Inf(1) {
					looked++
				}
				if near > tolerance && near < math.Inf(1) {
					t.Errorf("%s: %q is off by %.2f mm", s.Name, x.Text, near)
				}
			}
		}
		if looked < len(tags) {
			t.Errorf("%s: %d words found", s.Name, looked)
		}
	}
}

// How high the number is in the picture that a printer would have: 12 mm or more,
// on the large label 25, and a bar below it.
func TestNumbersAsPrinted(t *testing.T) {
	need.Programs(t, "pdftoppm")
	const dpi = 300
	for _, s := range sheet.LabelPapers() {
		pages, _, err := sheet.PrintJob{Labels: []sheet.LabelText{sampleBagText(t, 16, 3)}, Paper: s, Options: sheet.Options{DPI: dpi}}.Pages()
		if err != nil {
			t.Fatal(err)
		}
		var number sheet.PlacedText
		for _, x := range pages[0].Texts {
			if x.Text == "16" {
				number = x
			}
		}
		img := printPages(t, pages, dpi)[0]
		const mm = dpi / 25.4
		column := image.Rect(int(number.X*mm), int((number.Y-number.Size*0.75)*mm), int((number.X+number.Width*number.Squeeze*0.4)*mm), int((number.Y+number.Size*0.3)*mm))
		var inked []int // heights of the stretches of rows with ink: the figure 1, the bar
		for y, run := column.Min.Y, 0; y <= column.Max.Y; y++ {
			dark := false
			for x := column.Min.X; x < column.Max.X && y < column.Max.Y; x++ {
				v, _, _, _ := img.At(x, y).RGBA()
				dark = dark || v < 0x8000
			}
			if dark {
				run++
			} else if run > 0 {
				inked, run = append(inked, run), 0
			}
		}
		want := 12.0
		if s.Name == "a4-105x74" {
			want = 25
		}
		figure := slices.Index(inked, slices.Max(inked)) // the outline may lie above, a text below the bar
		if figure+1 >= len(inked) || float64(inked[figure])/mm < want-0.05 || float64(inked[figure+1])/mm < 0.3 {
			t.Errorf("%s: the stretches of ink are %d dots, want a figure of %g mm and a bar", s.Name, inked, want)
			continue
		}
		t.Logf("%s: figures %.1f mm, bar %.1f mm", s.Name, float64(inked[figure])/mm, float64(inked[figure+1])/mm)
	}
}

// The same pages give the same bytes, so that a label printed again is the same.
func TestPDFIsTheSameTwice(t *testing.T) {
	s, err := sheet.FindPaper("a4-70x37")
	if err != nil {
		t.Fatal(err)
	}
	pages, _, err := sheet.PrintJob{Labels: allSampleLabels(t), Paper: s, Options: sheet.Options{DPI: 203}}.Pages()
	if err != nil {
		t.Fatal(err)
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := PDF(w, "labels", time.Unix(0, 0), pages); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two files of the same pages differ")
	}
}

// A4 with 24 labels stays a small file: codes are rectangles, faces subsets.
func TestPDFIsSmall(t *testing.T) {
	s, err := sheet.FindPaper("a4-70x37")
	if err != nil {
		t.Fatal(err)
	}
	var tags []sheet.LabelText
	for n := range 24 {
		tags = append(tags, sampleBagText(t, n+1, 3))
	}
	pages, _, err := sheet.PrintJob{Labels: tags, Paper: s, Options: sheet.Options{DPI: 203}}.Pages()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "labels.pdf")
	writePDF(t, path, pages)
	info, err := os.Stat(path)
	if err != nil || info.Size() > 300_000 {
		t.Errorf("%d bytes, %v", info.Size(), err)
	}
	t.Logf("24 labels are %d kB", info.Size()/1000)
}
