package sheet

import (
	"strings"
	"unicode/utf8"
)

// fontFace is a font in two weights: its characters, and their widths in thousandths of the size.
type fontFace struct {
	cap    int // height of its capitals, in thousandths of the size
	spans  []runeSpan
	widths [2][]uint16
}

type runeSpan struct{ from, to rune }

// capHeight is the height of a capital or a digit, as a share of the size. A font with higher
// capitals is drawn smaller, so that a word in two fonts looks even.
const capHeight = 0.668

// missingGlyph replaces a character that no font has.
const missingGlyph = '□'

// missingGlyphWidth is the width of missingGlyph, as a share of the size.
const missingGlyphWidth = 0.62

// findGlyph returns the font of r and the width of r in it, in thousandths of its size.
func findGlyph(r rune, bold bool) (face, width int, ok bool) {
	weight := 0
	if bold {
		weight = 1
	}
	for i := range fontFaces {
		at := 0
		for _, s := range fontFaces[i].spans {
			if r < s.from {
				break
			}
			if r <= s.to {
				return i, int(fontFaces[i].widths[weight][at+int(r-s.from)]), true
			}
			at += int(s.to-s.from) + 1
		}
	}
	return 0, 0, false
}

// RuneWidth returns the font of r as an index into FontFaces, and the width of r in
// thousandths of the size of that font. face is −1 if no font has r.
func RuneWidth(r rune, bold bool) (face int, width float64) {
	face, w, ok := findGlyph(r, bold)
	if !ok {
		return -1, 0
	}
	return face, float64(w)
}

// faceScale is the size in which a font is drawn, as a share of the requested size.
func faceScale(face int) float64 { return capHeight * 1000 / float64(fontFaces[face].cap) }

// asciiWidths caches the widths of ASCII characters at size 1, because a label is measured often
// before it is drawn.
var asciiWidths = func() (table [2][0x7f]float64) {
	for r := rune(' '); r < 0x7f; r++ {
		for weight, bold := range []bool{false, true} {
			face, w, _ := findGlyph(r, bold)
			table[weight][r] = float64(w) / 1000 * faceScale(face)
		}
	}
	return table
}()

// runeAdvance returns the width of r at size 1.
func runeAdvance(r rune, bold bool) float64 {
	if r >= ' ' && r < 0x7f {
		if bold {
			return asciiWidths[1][r]
		}
		return asciiWidths[0][r]
	}
	face, w, ok := findGlyph(r, bold)
	if !ok {
		return missingGlyphWidth
	}
	return float64(w) / 1000 * faceScale(face)
}

// textWidth returns the width of s at size 1.
func textWidth(s string, bold bool) float64 {
	w := 0.0
	for _, r := range s {
		w += runeAdvance(r, bold)
	}
	return w
}

// cleanLine makes one line of what a person typed: it replaces white space by one space and
// removes invisible characters.
func cleanLine(s string) string {
	clean := true
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] > '~' {
			clean = false
			break
		}
	}
	if !clean {
		s = strings.Map(func(r rune) rune {
			switch {
			case r == '\t' || r == '\n' || r == '\v' || r == '\f' || r == '\r' || r == 0x2028 || r == 0x2029:
				return ' '
			case r >= 0x2000 && r <= 0x200a && r != 0x2007:
				return ' '
			case r == 0x2007 || r == 0x202f:
				return 0xa0 // a space that does not break
			case r == 0x2011:
				return '-'
			case r < ' ' || r >= 0x7f && r < 0xa0 || r == 0xad || r == 0x61c, // controls, the soft hyphen
				r >= 0x200b && r <= 0x200f, r >= 0x202a && r <= 0x202e, r >= 0x2060 && r <= 0x206f, // joiners, marks of direction
				r >= 0xfe00 && r <= 0xfe0f, r == 0xfeff, r >= 0x1f3fb && r <= 0x1f3ff, r >= 0xe0000 && r <= 0xe01ef: // ways of drawing the character before
				return -1
			case r == utf8.RuneError:
				return missingGlyph
			}
			return r
		}, s)
	}
	if !strings.Contains(s, "  ") && !strings.HasPrefix(s, " ") && !strings.HasSuffix(s, " ") {
		return s
	}
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
}

// wrapText breaks s, one line as plainTexts returns it, into at most most lines that are no wider than
// width at size 1. A word that is too wide is broken; what is too long ends in
// "…", and whole is false.
func wrapText(s string, bold bool, width float64, most int) (lines []string, whole bool) {
	for s != "" {
		n := fittingBytes(s, bold, width)
		if n == len(s) {
			return append(lines, s), true
		}
		if len(lines) == most-1 {
			n = fittingBytes(s, bold, width-runeAdvance('…', bold))
			return append(lines, strings.TrimRight(s[:n], " ")+"…"), false
		}
		if n == 0 {
			return append(lines, "…"), false
		}
		if at := strings.LastIndexByte(s[:n+1], ' '); at > 0 {
			n = at
		} else if at := strings.LastIndexByte(s[:n], '-'); at > 0 {
			n = at + 1
		}
		lines = append(lines, strings.TrimRight(s[:n], " "))
		s = strings.TrimLeft(s[n:], " ")
	}
	return lines, true
}

// fittingBytes returns how many bytes of s, in whole characters, are no wider than width
// at size 1.
func fittingBytes(s string, bold bool, width float64) int {
	w := 0.0
	for i, r := range s {
		if w += runeAdvance(r, bold); w > width {
			return i
		}
	}
	return len(s)
}

// addUnknown adds to into the characters of s that no font has, each once.
func addUnknown(s string, into string) string {
	for _, r := range s {
		if _, _, ok := findGlyph(r, false); !ok && r != missingGlyph && !strings.ContainsRune(into, r) {
			into += string(r)
		}
	}
	return into
}
