package sheet

import (
	"math"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"pgregory.net/rapid"
)

// sampleLabelText is an invented bag with n colours; its code has the characters that such
// a bag's has.
func sampleLabelText(number string, n int) LabelText {
	all := []Colour{{"RU", "rust", "#B5372A", 0}, {"YE", "deep yellow", "#E9A21B", 1}, {"BG", "blue-green", "#17606B", 2}, {"PL", "plum", "#6B3F8C", 3},
		{"LF", "leaf green", "#3D6B35", 4}, {"RS", "rose", "#C7446B", 5}, {"NA", "navy", "#1B2A4A", 6}, {"SA", "sand", "#D9C79A", 7}}
	return LabelText{Number: number, TimeLead: "keep wet, ready about", Time: "Sat 2 May 20:25", ShortTime: "SAT 20:25", Condition: "if it stays near 18 °C", Piece: "Pillowcase",
		Colours: all[:n], ClosedText: "closed Fri 1 May 16:10", Fold: "spiral", Batch: "spring market", Caution: "Gloves on. Rinse before the machine.",
		TypedID: "K7M2-Q9X4-F", Address: "HTTPS://COLDBATCH.LOCAL:8443/B/" + strings.Repeat("0X", 19) + strings.Repeat("7", (26*n+4)/5)}
}

func blankLabelText() LabelText {
	t := sampleLabelText("40", 0)
	return LabelText{Number: t.Number, Lines: []string{"ready about", "piece", "colours", "closed"}, Caution: t.Caution, TypedID: t.TypedID, Address: t.Address[:51]}
}

func pageTexts(p Page) (all []string) {
	for _, t := range p.Texts {
		all = append(all, t.Text)
	}
	return all
}

// On every paper: the number at its height, the time, the caution, the id and a
// code are there, and what is not there is said.
func TestWhatIsNeverDropped(t *testing.T) {
	numbers := map[string]float64{"a4-105x74": 25} // mm; 12 elsewhere
	for _, s := range LabelPapers() {
		for _, number := range []string{"9", "12", "128", "28H"} {
			for n := range 9 {
				tag := sampleLabelText(number, n)
				p, left, err := LayOut(tag, s.Width, s.Height, Options{DPI: 203})
				if err != nil {
					t.Fatal(err)
				}
				high := 0.0
				for _, x := range p.Texts {
					if x.Text == strings.TrimRight(number, "H") && x.Bold {
						high = max(high, x.Size*capHeight)
					}
				}
				if want := max(12, numbers[s.Name]); high < want {
					t.Errorf("%s, bag %s: the number is %.1f mm high, want %g", s.Name, number, high, want)
				}
				all := strings.Join(pageTexts(p), " ")
				if !strings.Contains(all, tag.Time) && !strings.Contains(all, tag.ShortTime) {
					t.Errorf("%s, bag %s: no time in %s", s.Name, number, all)
				}
				for _, want := range []string{tag.Caution, tag.TypedID} {
					if !strings.Contains(all, want) {
						t.Errorf("%s, bag %s: no %q in %s", s.Name, number, want, all)
					}
				}
				if len(p.Codes) == 0 {
					t.Errorf("%s, bag %s with %d colours: no code", s.Name, number, n)
				}
				for part, said := range map[string]string{tag.Piece: "the piece", tag.Batch: "the batch", tag.Fold: "the fold", "stays near": "the condition of the time"} {
					if !strings.Contains(all, part) && !slices.Contains(left.DroppedParts, said) {
						t.Errorf("%s, bag %s: %q is gone and not told: %s; %q", s.Name, number, part, all, left.DroppedParts)
					}
				}
			}
		}
	}
}

// What is dropped goes from the end, the words of colours beyond three first, and
// comes back where it did not help.
func TestWhatIsDropped(t *testing.T) {
	for _, row := range []struct {
		why  string
		w, h float64
		tag  LabelText
		want string
	}{
		{"all of the usual bag on the large label", 105, 74, sampleLabelText("12", 3), ""},
		{"eight colours: first the words beyond three, then from the end", 105, 74, sampleLabelText("28H", 8), "the words of colours beyond three, the batch, the fold, when it was closed"},
		{"the usual bag on the small label", 70, 37, sampleLabelText("12", 3), ""},
		{"an inch high: three colours keep their letters", 66.675, 25.4, sampleLabelText("12", 3), "the batch, the fold, when it was closed, the words of the colours"},
		{"no room for a code that a phone could read", 40, 16, sampleLabelText("12", 3), "the code"},
		{"no room to write on", 50, 30, blankLabelText(), "some lines to write on"},
	} {
		_, left, err := LayOut(row.tag, row.w, row.h, Options{DPI: 203})
		got := strings.Join(left.DroppedParts, ", ")
		if err != nil || got != row.want && !(row.want == "the code" && strings.HasPrefix(got, "the code")) {
			t.Errorf("%s: %v, %v; want %s", row.why, got, err, row.want)
		}
	}
}

// Two codes in different corners on large labels, one elsewhere.
func TestTwoCodes(t *testing.T) {
	for name, want := range map[string]int{"a4-105x74": 2, "roll-62": 2, "a4-70x37": 1, "letter-4x2": 1, "letter-2.62x1": 1, "roll-50x30": 1, "receipt-58": 1} {
		s, _ := FindPaper(name)
		p, _, err := LayOut(sampleLabelText("12", 8), s.Width, s.Height, Options{DPI: 203})
		if err != nil || len(p.Codes) != want {
			t.Errorf("%s: %d codes, %v; want %d", name, len(p.Codes), err, want)
		}
		if want == 2 && len(p.Codes) == 2 {
			a, b := p.Codes[0], p.Codes[1]
			if far := math.Hypot(a.X-b.X, a.Y-b.Y) / (float64(a.Size) * a.Module); far < 1 {
				t.Errorf("%s: the codes lie %.2f of their side apart", name, far)
			}
		}
	}
}

func TestLayRefuses(t *testing.T) {
	for _, row := range []struct {
		why  string
		w, h float64
		dpi  int
	}{
		{"too narrow", 24.9, 30, 203}, {"too low", 50, 11.9, 203}, {"too wide", 421, 30, 203}, {"too high", 50, 421, 203},
		{"no number", math.NaN(), 30, 203}, {"endless", math.Inf(1), 30, 203}, {"too coarse", 50, 30, 149}, {"too fine", 50, 30, 2401},
	} {
		if _, _, err := LayOut(blankLabelText(), row.w, row.h, Options{DPI: row.dpi}); !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", row.why, err)
		}
	}
	for _, size := range [][2]float64{{25, 12}, {420, 420}, {420, 12}, {25, 420}} {
		if _, _, err := LayOut(sampleLabelText("12", 3), size[0], size[1], Options{DPI: 203}); err != nil {
			t.Errorf("%g × %g: %v", size[0], size[1], err)
		}
	}
}

// A module is whole dots of the printer and no smaller than 0.45 mm, and it lies on
// the grid of dots; the level is the strongest that allows that.
func TestModules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dpi := rapid.SampledFrom([]int{203, 300, 600}).Draw(t, "dpi")
		w, h := rapid.Float64Range(25, 200).Draw(t, "w"), rapid.Float64Range(12, 200).Draw(t, "h")
		p, _, err := LayOut(sampleLabelText("12", rapid.IntRange(0, 8).Draw(t, "colours")), w, h, Options{DPI: dpi})
		if err != nil {
			t.Fatal(err)
		}
		dot := 25.4 / float64(dpi)
		whole := func(what string, v float64) {
			if n := v / dot; math.Abs(n-math.Round(n)) > 1e-6 {
				t.Fatalf("%s of %g mm is %g dots", what, v, n)
			}
		}
		for _, c := range p.Codes {
			whole("a module", c.Module)
			whole("x", c.X)
			whole("y", c.Y)
			if c.Module < 0.45 {
				t.Fatalf("a module is %g mm", c.Module)
			}
		}
	})
}

// TestFit checks the code's side for each error-correction level at 203 dpi, where a module of 0.45 mm is
// 4 dots, with a quiet zone of 4 modules on each side (ISO/IEC 18004; capacities from memory).
func TestFit(t *testing.T) {
	text := strings.Repeat("A", 102) // H 8, Q 6, M 5, L 4
	const dot = 25.4 / 203
	for _, row := range []struct {
		why     string
		side    float64
		level   string
		version int
		dots    float64
	}{
		{"room for H", 57 * 4 * dot, "H", 8, 4},
		{"a little less: Q", 57*4*dot - 0.01, "Q", 6, 4},
		{"room for Q", 49 * 4 * dot, "Q", 6, 4},
		{"a little less: M", 49*4*dot - 0.01, "M", 5, 4},
		{"room for M", 45 * 4 * dot, "M", 5, 4},
		{"a little less: L", 45*4*dot - 0.01, "L", 4, 4},
		{"room for L", 41 * 4 * dot, "L", 4, 4},
		{"larger modules rather than none", 57 * 5 * dot, "H", 8, 5},
	} {
		m, module, ok, err := fitCode(text, row.side, 203)
		if err != nil || !ok || m.Level != row.level || m.Version != row.version || math.Abs(module-row.dots*dot) > 1e-9 {
			t.Errorf("%s: %s, version %d, %g dots, %v", row.why, m.Level, m.Version, module/dot, err)
		}
	}
	if _, _, ok, err := fitCode(text, 41*4*dot-0.01, 203); ok || err != nil {
		t.Errorf("no room for L: %v, %v", ok, err)
	}
}

// Whatever is written on it: nothing leaves the label, no text lies over another,
// and the codes with their quiet zones are kept free.
func TestNothingOverlaps(t *testing.T) {
	some := rapid.OneOf(rapid.String(), rapid.StringMatching(`[A-Za-z ]{0,60}`), rapid.StringMatching(`W{0,40}`), rapid.Just(""))
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(25, 160).Draw(t, "w"), rapid.Float64Range(12, 160).Draw(t, "h")
		tag := sampleLabelText("12", rapid.IntRange(0, 8).Draw(t, "colours"))
		for _, s := range []*string{&tag.Number, &tag.TimeLead, &tag.Time, &tag.ShortTime, &tag.Condition, &tag.Piece, &tag.ClosedText, &tag.Fold, &tag.Batch, &tag.Warning, &tag.Caution, &tag.TypedID} {
			if rapid.Bool().Draw(t, "another") {
				*s = some.Draw(t, "text")
			}
		}
		for i := range tag.Colours {
			if rapid.Bool().Draw(t, "another") {
				tag.Colours[i].Word, tag.Colours[i].CapLetters, tag.Colours[i].RGB = some.Draw(t, "word"), some.Draw(t, "caps"), some.Draw(t, "rgb")
			}
		}
		tag.Lines = rapid.SliceOfN(some, 0, 6).Draw(t, "lines")
		if rapid.Bool().Draw(t, "no code") {
			tag.Address = ""
		}
		p, _, err := LayOut(tag, w, h, Options{DPI: 203, BlackAndWhite: rapid.Bool().Draw(t, "mono")})
		if err != nil {
			t.Fatal(err)
		}
		checkPage(t, p)
	})
}

type drawnBox struct {
	what           string
	x0, y0, x1, y1 float64
}

// checkPage checks the rules of a single label.
func checkPage(t fatalReporter, p Page) {
	const slack = 1e-6
	var inked, boxes, zones []drawnBox
	for _, c := range p.Codes {
		quiet := QuietZone * c.Module
		side := float64(c.Size)*c.Module + quiet
		zones = append(zones, drawnBox{"a code", c.X - quiet, c.Y - quiet, c.X + side, c.Y + side})
	}
	for _, x := range p.Texts {
		up, down := 0.92, 0.25 // of the faces: accents and tails
		if hasCapitalHeight(x.Text) {
			up, down = 0.682, 0.055 // rounded figures; the tail of the Q
		}
		b := drawnBox{x.Text, x.X, x.Y - x.Size*up, x.X + x.Width*x.Squeeze, x.Y + x.Size*down}
		inked = append(inked, b)
		boxes = append(boxes, drawnBox{x.Text, x.X, x.Y - x.Size*0.62, b.x1, x.Y + x.Size*0.06})
	}
	extent := func(what string, points []Point, by float64) {
		b := drawnBox{what, math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, a := range points {
			b = drawnBox{what, min(b.x0, a.X-by), min(b.y0, a.Y-by), max(b.x1, a.X+by), max(b.y1, a.Y+by)}
		}
		if what == "a line" && b.x1-b.x0 > p.Width*0.8 && b.y1-b.y0 > p.Height*0.8 {
			b.what = "the outline" // lies around all
		}
		inked = append(inked, b)
	}
	for _, a := range p.Areas {
		extent("an area", a.Points, 0)
	}
	for _, s := range p.Strokes {
		extent("a line", s.Points, s.Width/2)
	}
	over := func(a, b drawnBox) bool {
		return a.x0 < b.x1-slack && b.x0 < a.x1-slack && a.y0 < b.y1-slack && b.y0 < a.y1-slack
	}
	for _, b := range append(inked, zones...) {
		if !(b.x0 >= -slack && b.y0 >= -slack && b.x1 <= p.Width+slack && b.y1 <= p.Height+slack) {
			t.Fatalf("%q leaves the label of %g × %g: %+v", b.what, p.Width, p.Height, b)
		}
		for _, z := range zones {
			if b.what != "a code" && b.what != "the outline" && over(b, z) {
				t.Fatalf("%q lies in the quiet zone: %+v, %+v", b.what, b, z)
			}
		}
	}
	for i, a := range boxes {
		for _, b := range boxes[:i] {
			if over(a, b) {
				t.Fatalf("%q lies over %q: %+v, %+v", a.what, b.what, a, b)
			}
		}
	}
	for i, z := range zones {
		for _, y := range zones[:i] {
			if over(z, y) {
				t.Fatalf("codes overlap: %+v, %+v", y, z)
			}
		}
	}
}

// The outline of the tag stays out of the quiet zones too.
func TestOutlineKeepsOutOfQuietZones(t *testing.T) {
	for _, s := range LabelPapers() {
		p, _, err := LayOut(sampleLabelText("12", 8), s.Width, s.Height, Options{DPI: 203})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range p.Codes {
			quiet := QuietZone * c.Module
			x0, y0, x1, y1 := c.X-quiet, c.Y-quiet, c.X+float64(c.Size)*c.Module+quiet, c.Y+float64(c.Size)*c.Module+quiet
			for _, l := range p.Strokes {
				for i, a := range l.Points {
					b := l.Points[(i+1)%len(l.Points)]
					for k := range 101 {
						f := float64(k) / 100
						x, y := a.X+(b.X-a.X)*f, a.Y+(b.Y-a.Y)*f
						if by := l.Width / 2; x > x0-by && x < x1+by && y > y0-by && y < y1+by && (l.Closed || i+1 < len(l.Points)) {
							t.Fatalf("%s: a line at %.2f, %.2f lies in a quiet zone", s.Name, x, y)
						}
					}
				}
			}
		}
	}
}

func TestUnknownCharactersAreToldAndDrawn(t *testing.T) {
	tag := sampleLabelText("12", 3)
	tag.Piece = "漢 🧦"
	p, left, err := LayOut(tag, 105, 74, Options{DPI: 203})
	if err != nil || left.UnknownCharacters != "漢🧦" {
		t.Fatalf("%q, %v", left.UnknownCharacters, err)
	}
	plain, _, _ := LayOut(sampleLabelText("12", 3), 105, 74, Options{DPI: 203})
	if len(p.Strokes) != len(plain.Strokes)+2 {
		t.Errorf("%d strokes, without the boxes %d", len(p.Strokes), len(plain.Strokes))
	}
}
