package sheet

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// Sizes of paper: A4 by ISO 216, Letter by ANSI/ASME Y14.1. The labels of the
// inch sheets lie as they are usually cut: half an inch from the top (common
// practice, no source).
func TestStocks(t *testing.T) {
	tested := map[string]bool{}
	for _, row := range []struct {
		name                string
		pageW, pageH        float64
		w, h                float64
		columns, rows       int
		left, top, lastLeft float64
	}{
		{"a4-70x37", 210, 297, 70, 37, 3, 8, 0, 0.5, 140},
		{"a4-105x74", 210, 297, 105, 74, 2, 4, 0, 0.5, 105},
		{"letter-2.62x1", 215.9, 279.4, 66.675, 25.4, 3, 10, 4.7625, 12.7, 144.4625},
		{"letter-4x2", 215.9, 279.4, 101.6, 50.8, 2, 5, 3.96875, 12.7, 110.33125},
		{"roll-62", 62, 100, 62, 100, 1, 1, 0, 0, 0},
		{"roll-50x30", 50, 30, 50, 30, 1, 1, 0, 0, 0},
		{"receipt-58", 58, 90, 48, 90, 1, 1, 5, 0, 5},
		{"62x29", 62, 29, 62, 29, 1, 1, 0, 0, 0},
		{"80.5X40", 80.5, 40, 80.5, 40, 1, 1, 0, 0, 0},
		{"2.5x1in", 63.5, 25.4, 63.5, 25.4, 1, 1, 0, 0, 0},
	} {
		tested[row.name] = true
		s, err := FindPaper(row.name)
		last := s.LeftMargin + s.PitchAcross*float64(s.Columns-1)
		got := []float64{s.PageWidth, s.PageHeight, s.Width, s.Height, s.LeftMargin, s.TopMargin, last}
		for i, want := range []float64{row.pageW, row.pageH, row.w, row.h, row.left, row.top, row.lastLeft} {
			if err != nil || math.Abs(got[i]-want) > 1e-9 || s.Columns != row.columns || s.Rows != row.rows {
				t.Errorf("%s: %+v, %v", row.name, s, err)
				break
			}
		}
	}
	for _, s := range LabelPapers() {
		if !tested[s.Name] {
			t.Errorf("paper %s has no row here: add one with its measures", s.Name)
		}
		if !strings.Contains(s.Name, "-") {
			t.Errorf("paper %s has no hyphen in its name, and might be read as a size of one's own", s.Name)
		}
	}
	for _, row := range []struct {
		why, name string
		code      fault.Code
	}{
		{"a name that is none", "a5", fault.NotFound}, {"nothing", "", fault.NotFound}, {"too small", "10x10", fault.Input},
		{"too large", "500x30", fault.Input}, {"no number", "nanxnan", fault.Input}, {"too large, in inches", "17x1in", fault.Input}, {"half a size", "50x", fault.Input}, {"words", "abcx30", fault.Input}, {"a name with an x", "letter-9x9", fault.NotFound},
	} {
		if _, err := FindPaper(row.name); !fault.Is(err, row.code) || fault.AsFault(err).Hint == "" {
			t.Errorf("%s: %v", row.why, err)
		}
	}
}

// A paper's size is given in mm and in inches, first in the units that it is sold by.
func TestSizeInBothSystems(t *testing.T) {
	for name, want := range map[string][2]string{
		"a4-70x37":      {"A4, 70 × 37 mm, 3 × 8", "2.76 × 1.46 in"},
		"letter-2.62x1": {"Letter, 2⅝ × 1 in, 3 × 10", "66.7 × 25.4 mm"},
		"letter-4x2":    {"Letter, 4 × 2 in, 2 × 5", "101.6 × 50.8 mm"},
		"62x29":         {"62 × 29 mm", "2.44 × 1.14 in"},
		"2.5X1IN":       {"2.5 × 1 in", "63.5 × 25.4 mm"},
	} {
		if s, err := FindPaper(name); err != nil || s.Words != want[0] || s.SizeInOtherUnits() != want[1] {
			t.Errorf("%s: %q, %q, %v", name, s.Words, s.SizeInOtherUnits(), err)
		}
	}
}

// A half-used sheet begins at any position, the next page at its first.
func TestStart(t *testing.T) {
	s, _ := FindPaper("a4-70x37")
	tags := make([]LabelText, 26)
	for i := range tags {
		tags[i] = sampleLabelText("12", 3)
	}
	for _, row := range []struct {
		why    string
		start  int
		pages  int
		x, y   float64
		second float64
	}{
		{"from the first", 0, 2, 0, 0, 70},
		{"the first, said", 1, 2, 0, 0, 70},
		{"the second row, second column", 5, 2, 70, 37, 140},
		{"the last", 24, 3, 140, 7 * 37, 0},
	} {
		pages, missing, err := PrintJob{Labels: tags, Paper: s, StartPosition: row.start, Options: Options{DPI: 203}}.Pages()
		if err != nil || len(pages) != row.pages || len(missing) != 0 {
			t.Errorf("%s: %d pages, %v, %v", row.why, len(pages), missing, err)
			continue
		}
		label, _, _ := LayOut(tags[0], s.Width, s.Height, Options{DPI: 203})
		if dx, dy := pages[0].Codes[0].X-label.Codes[0].X-row.x, pages[0].Codes[0].Y-label.Codes[0].Y-row.y-s.TopMargin; math.Abs(dx) > 0.07 || math.Abs(dy) > 0.07 {
			t.Errorf("%s: the first label is off by %.3f, %.3f mm", row.why, dx, dy)
		}
		n := 0
		for _, p := range pages {
			n += len(p.Codes)
		}
		if n != len(tags) {
			t.Errorf("%s: %d codes of %d", row.why, n, len(tags))
		}
	}
	for _, j := range []PrintJob{{Labels: tags, Paper: s, StartPosition: 25, Options: Options{DPI: 203}}, {Paper: s, Options: Options{DPI: 203}}, {Labels: tags, Paper: s, Options: Options{DPI: 72}}} {
		if _, _, err := j.Pages(); !fault.Is(err, fault.Input) {
			t.Errorf("%d tags from %d at %d: %v", len(j.Labels), j.StartPosition, j.DPI, err)
		}
	}
}

// Lines to cut along lie on the edges of the labels, outside of every quiet zone.
func TestCut(t *testing.T) {
	for _, row := range []struct {
		name  string
		lines int
	}{{"a4-70x37", 4 + 9}, {"letter-2.62x1", 6 + 11}, {"roll-62", 0}} {
		s, _ := FindPaper(row.name)
		job := PrintJob{Labels: []LabelText{sampleLabelText("12", 3)}, Paper: s, Options: Options{DPI: 203}}
		plain, _, _ := job.Pages()
		job.CutLines = true
		cut, _, err := job.Pages()
		if err != nil || len(cut[0].Strokes)-len(plain[0].Strokes) != row.lines {
			t.Errorf("%s: %d lines, %v", row.name, len(cut[0].Strokes)-len(plain[0].Strokes), err)
		}
	}
}

// The drawing is well formed, says nothing that a strict policy forbids, and has
// the text of every label, escaped.
func TestPageSVG(t *testing.T) {
	s, _ := FindPaper("a4-105x74")
	odd := sampleLabelText("12", 3)
	odd.Piece = `<script>&"quoted" ñ Ж`
	pages, _, err := PrintJob{Labels: []LabelText{odd, blankLabelText()}, Paper: s, CutLines: true, Options: Options{DPI: 203}}.Pages()
	if err != nil {
		t.Fatal(err)
	}
	svg := pages[0].SVG()
	for _, bad := range []string{"style", "<script", "href", "<image", "NaN", "Inf"} {
		if strings.Contains(svg, bad) {
			t.Errorf("the drawing has %s", bad)
		}
	}
	var said strings.Builder
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		if c, ok := token.(xml.CharData); ok {
			said.Write(c)
		}
	}
	for _, want := range []string{`<script>&"quoted" ñ`, "Ж", "12", "20:25", "ready about"} {
		if !strings.Contains(said.String(), want) {
			t.Errorf("no %q in %s", want, said.String())
		}
	}
	if !strings.Contains(svg, `width="210mm" height="297mm" viewBox="0 0 210 297"`) {
		t.Errorf("the size is not said: %.200s", svg)
	}
}

func FuzzFindStock(f *testing.F) {
	f.Add("62x29")
	f.Add("a4-70x37")
	f.Add("1e2x0x30")
	f.Fuzz(func(t *testing.T, name string) {
		s, err := FindPaper(name)
		if err != nil {
			return
		}
		again, err := FindPaper(s.Name)
		if err != nil || again != s || !(s.Width >= minWidth && s.Height >= minHeight && s.Columns*s.Rows > 0) {
			t.Errorf("%q gives %+v, then %+v, %v", name, s, again, err)
		}
	})
}
