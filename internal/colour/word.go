package colour

import "math"

// wordSamples are plain names with a colour each, sRGB 0–255, wide enough apart that a
// person tells one from the next on a label (judgement, no source).
var wordSamples = []struct {
	name    string
	r, g, b uint8
}{
	{"white", 250, 250, 248}, {"light grey", 200, 200, 200}, {"grey", 128, 128, 128}, {"dark grey", 72, 72, 74}, {"black", 20, 20, 22},
	{"pink", 240, 160, 180}, {"magenta", 195, 25, 120}, {"red", 200, 30, 40}, {"dark red", 110, 22, 32},
	{"rust", 168, 72, 38}, {"orange", 240, 130, 30}, {"brown", 100, 62, 36}, {"sand", 215, 190, 150},
	{"yellow", 250, 220, 50}, {"deep yellow", 225, 165, 25}, {"olive", 120, 115, 45},
	{"light green", 155, 210, 120}, {"green", 50, 145, 65}, {"dark green", 24, 78, 48},
	{"blue-green", 20, 130, 130}, {"turquoise", 60, 195, 200},
	{"light blue", 150, 195, 230}, {"blue", 40, 90, 180}, {"navy", 28, 36, 84}, {"violet", 95, 60, 150}, {"lilac", 190, 160, 215}, {"plum", 100, 38, 82},
}

// PlainWord returns the plain word for a screen colour, 0–255 each: of a short list the
// nearest by CIEDE2000.
func PlainWord(r, g, b uint8) string {
	c, word, least := FromSRGB(r, g, b), "", math.Inf(1)
	for _, w := range wordSamples {
		if d := Difference(c, FromSRGB(w.r, w.g, w.b)); d < least {
			word, least = w.name, d
		}
	}
	return word
}

// LabOfWord returns the colour of a plain word, and whether PlainWord uses that word.
func LabOfWord(word string) (Lab, bool) {
	for _, w := range wordSamples {
		if w.name == word {
			return FromSRGB(w.r, w.g, w.b), true
		}
	}
	return Lab{}, false
}

// Words lists the plain words that PlainWord uses.
func Words() (names []string) {
	for _, w := range wordSamples {
		names = append(names, w.name)
	}
	return names
}
