package colour

import (
	"testing"

	"pgregory.net/rapid"
)

// The named colours of CSS Color Module Level 4, section 6.1, from memory: what a
// dyer would call them is common practice, no source.
func TestWord(t *testing.T) {
	for _, row := range []struct {
		css     string
		r, g, b uint8
		want    string
	}{
		{"black", 0, 0, 0, "black"}, {"white", 255, 255, 255, "white"}, {"gray", 128, 128, 128, "grey"},
		{"red", 255, 0, 0, "red"}, {"firebrick", 178, 34, 34, "red"}, {"darkorange", 255, 140, 0, "orange"},
		{"gold", 255, 215, 0, "yellow"}, {"goldenrod", 218, 165, 32, "deep yellow"}, {"sienna", 160, 82, 45, "rust"},
		{"olive", 128, 128, 0, "olive"}, {"forestgreen", 34, 139, 34, "green"}, {"darkgreen", 0, 100, 0, "dark green"},
		{"teal", 0, 128, 128, "blue-green"}, {"mediumturquoise", 72, 209, 204, "turquoise"},
		{"lightskyblue", 135, 206, 250, "light blue"}, {"royalblue", 65, 105, 225, "blue"}, {"midnightblue", 25, 25, 112, "navy"},
		{"rebeccapurple", 102, 51, 153, "violet"}, {"plum", 221, 160, 221, "lilac"}, {"lightpink", 255, 182, 193, "pink"},
		{"mediumvioletred", 199, 21, 133, "magenta"}, {"tan", 210, 180, 140, "sand"}, {"maroon", 128, 0, 0, "dark red"},
	} {
		if got := PlainWord(row.r, row.g, row.b); got != row.want {
			t.Errorf("%s is called %s, want %s", row.css, got, row.want)
		}
	}
}

// Two words stay apart: a colour of the list has its own, also in the 16 steps a
// channel that a label keeps; and every colour has one.
func TestWordsAreApart(t *testing.T) {
	for i, w := range wordSamples {
		if got := PlainWord(w.r, w.g, w.b); got != w.name {
			t.Errorf("%s is called %s", w.name, got)
		}
		kept := func(v uint8) uint8 { return uint8((int(v)*15 + 127) / 255 * 17) }
		if got := PlainWord(kept(w.r), kept(w.g), kept(w.b)); got != w.name {
			t.Errorf("%s, as a label keeps it, is called %s", w.name, got)
		}
		for _, o := range wordSamples[:i] {
			if d := Difference(FromSRGB(w.r, w.g, w.b), FromSRGB(o.r, o.g, o.b)); d < 8 {
				t.Errorf("%s and %s are %.1f apart", w.name, o.name, d)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		if PlainWord(rapid.Byte().Draw(t, "r"), rapid.Byte().Draw(t, "g"), rapid.Byte().Draw(t, "b")) == "" {
			t.Fatal("no word")
		}
	})
}
