package sheet

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestPlain(t *testing.T) {
	for _, row := range []struct{ why, in, want string }{
		{"as it is", "Pillowcase, spiral", "Pillowcase, spiral"},
		{"white space of a paste", "  two \t lines\nof it ", "two lines of it"},
		{"a thin space is a space", "18\u2009°C", "18 °C"},
		{"a space that does not break stays", "18\u00a0°C", "18\u00a0°C"},
		{"a narrow one is in no face", "18\u202f°C", "18\u00a0°C"},
		{"controls and what turns the direction are dropped", "a\x00b\u202ec\u200fd", "abcd"},
		{"a hyphen that does not break", "blue\u2011green", "blue-green"},
		{"how an emoji is to be drawn", "\u2764\ufe0f", "\u2764"},
		{"bytes that are no text", "a\xffb", "a□b"},
		{"nothing", "", ""},
	} {
		if got := cleanLine(row.in); got != row.want {
			t.Errorf("%s: plain(%q) = %q, want %q", row.why, row.in, got, row.want)
		}
	}
}

// Widths of Atkinson Hyperlegible Next 2.001, horizontal metrics of its file: the
// test of package press compares all of them with the faces.
func TestWide(t *testing.T) {
	for _, row := range []struct {
		why  string
		s    string
		bold bool
		want float64
	}{
		{"a regular 0", "0", false, 0.648},
		{"a bold 0 is wider", "0", true, 0.659},
		{"added up", "00", true, 1.318},
		{"□ for what no face has", "🧦", false, missingGlyphWidth},
		{"nothing", "", true, 0},
	} {
		got := textWidth(row.s, row.bold)
		if d := got - row.want; d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: %g, want %g", row.why, got, row.want)
		}
	}
	// The Greek and Cyrillic face is set so that its capitals are as high.
	face, w, ok := findGlyph('Ж', false)
	if !ok || face != 2 || faceScale(face) >= 1 || runeAdvance('Ж', false) != float64(w)/1000*faceScale(face) {
		t.Errorf("Ж is in face %d, %d wide, at %g", face, w, faceScale(face))
	}
	if face, _, _ := findGlyph('ł', true); face != 1 {
		t.Errorf("ł is in face %d", face)
	}
}

func TestWrap(t *testing.T) {
	one := runeAdvance('a', false)
	for _, row := range []struct {
		why   string
		s     string
		chars float64
		most  int
		want  string
		whole bool
	}{
		{"it fits", "aaa", 3, 1, "aaa", true},
		{"broken at a space", "aaa aaa", 5, 2, "aaa|aaa", true},
		{"broken after a hyphen", "aaa-aaa", 5, 2, "aaa-|aaa", true},
		{"a word that is too wide is broken", "aaaaaa", 4, 2, "aaaa|aa", true},
		{"cut", "aaa aaa aaa", 5, 2, "aaa|aaa…", false},
		{"no room for a letter", "aaa", 0.5, 3, "…", false},
		{"nothing", "", 5, 2, "", true},
	} {
		lines, whole := wrapText(row.s, false, row.chars*one+0.01+0.3, row.most)
		if row.chars < 1 {
			lines, whole = wrapText(row.s, false, row.chars*one, row.most)
		}
		if got := strings.Join(lines, "|"); got != row.want || whole != row.whole {
			t.Errorf("%s: %q, %v; want %q, %v", row.why, got, whole, row.want, row.whole)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := cleanLine(rapid.String().Draw(t, "s"))
		width, most := rapid.Float64Range(1.5, 40).Draw(t, "width"), rapid.IntRange(1, 5).Draw(t, "most")
		lines, whole := wrapText(s, true, width, most)
		if len(lines) > most {
			t.Fatalf("%d lines of at most %d", len(lines), most)
		}
		for _, l := range lines {
			if textWidth(l, true) > width+1e-9 || l == "" {
				t.Fatalf("%q is %g wide, at most %g", l, textWidth(l, true), width)
			}
		}
		if joined := strings.Join(lines, ""); whole && strings.ReplaceAll(joined, " ", "") != strings.ReplaceAll(s, " ", "") {
			t.Fatalf("%q became %q", s, lines)
		}
	})
}

func TestStrange(t *testing.T) {
	if got := addUnknown("añ 🧦Жη漢字字□", ""); got != "🧦漢字" {
		t.Errorf("%q", got)
	}
}
