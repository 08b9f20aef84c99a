package colour

import (
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/reftest"
)

// wordsOfFamily are the plain words that may stand for a colour of each family of hue, its pale and dark ones too.
var wordsOfFamily = map[string]string{
	"pink": "pink; magenta", "red": "red; dark red; rust; pink; orange", "orange": "orange; red; rust",
	"yellow": "yellow; deep yellow; sand; olive; white", "brown": "brown; rust; sand; deep yellow; orange; dark red; red; pink; white",
	"purple": "violet; magenta; plum; lilac; navy; blue", "blue": "blue; navy; light blue; turquoise; blue-green",
	"cyan": "blue-green; turquoise; light blue; light green", "green": "green; light green; dark green; olive; yellow; blue-green; turquoise",
	"white": "white; sand; light grey; pink; lilac; light blue", "grey": "light grey; grey; dark grey; black",
}

// strays are keywords at the border of their family, with the word of the neighbour: paper
// could not be told from two of them, and CIEDE2000 puts a screen's pure blue nearer to
// violet than to any blue that a dye gives.
var strays = map[string]string{"lavender": "white", "lightcyan": "white", "orange": "deep yellow", "blue": "violet", "mediumblue": "violet"}

// Each of the 148 named colours of CSS gets a word of its family of hue.
func TestKeywordsByHue(t *testing.T) {
	rows := reftest.Load(t, "css-keywords.tsv")
	if len(rows) != 148 {
		t.Errorf("%d keywords, the module has 148", len(rows))
	}
	for _, row := range rows {
		c := rgbOf(t, row["srgb"])
		got := PlainWord(c[0], c[1], c[2])
		if want := strays[row["keyword"]]; want != "" {
			if got != want {
				t.Errorf("%s is called %s, %s before", row["keyword"], got, want)
			}
			continue
		}
		if !slices.Contains(strings.Split(wordsOfFamily[row["family"]], "; "), got) {
			t.Errorf("%s, which is %s, is called %s", row["keyword"], row["family"], got)
		}
	}
}

// rgbOf reads six hexadecimal digits.
func rgbOf(t *testing.T, hex string) (rgb [3]uint8) {
	t.Helper()
	if len(hex) != 6 {
		t.Fatalf("%q", hex)
	}
	for i := range rgb {
		for _, digit := range []byte(hex[2*i : 2*i+2]) {
			rgb[i] = rgb[i]*16 + uint8(strings.IndexByte("0123456789abcdef", digit))
		}
	}
	return rgb
}
