package press

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/sheet"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The font files are the ones that the list of checksums names, and each has its licence beside it.
func TestFontSums(t *testing.T) {
	f, err := os.Open("font/SHA256SUMS")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	named := map[string]bool{}
	for s := bufio.NewScanner(f); s.Scan(); {
		want, name, _ := strings.Cut(s.Text(), "  ")
		b, err := os.ReadFile(filepath.Join("font", name))
		sum := sha256.Sum256(b)
		if err != nil || hex.EncodeToString(sum[:]) != want {
			t.Errorf("%s is another file than the sums say: %v", name, err)
		}
		named[name] = true
	}
	files, err := filepath.Glob("font/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range files {
		if ext := filepath.Ext(path); (ext == ".ttf" || ext == ".txt") && !named[filepath.Base(path)] {
			t.Errorf("%s has no sum", path)
		}
	}
}

// The layout's tables agree with the font files: which characters they have, and how wide these are.
// golang.org/x/image reads the faces, which takes no part in the layout.
func TestWidthsAreThoseOfTheFaces(t *testing.T) {
	for face := range sheet.FontFaces {
		for _, bold := range []bool{false, true} {
			file, err := fontFile(face, bold)
			if err != nil {
				t.Fatal(err)
			}
			f, err := sfnt.Parse(file)
			if err != nil {
				t.Fatal(err)
			}
			seen := 0
			for r := rune(0x20); r < 0x3000; r++ {
				g, err := f.GlyphIndex(nil, r)
				if err != nil {
					t.Fatal(err)
				}
				at, width := sheet.RuneWidth(r, bold)
				if at != face {
					if g != 0 && at < 0 {
						t.Errorf("%s has %q, the layout does not know it", sheet.FontFaces[face], r)
					}
					continue
				}
				seen++
				a, err := f.GlyphAdvance(nil, g, fixed.I(1000), font.HintingNone)
				if g == 0 || err != nil || math.Abs(float64(a)/64-width) > 0.5 {
					t.Errorf("%s, bold %v: %q is %g wide, the layout says %g", sheet.FontFaces[face], bold, r, float64(a)/64, width)
				}
			}
			if seen < 80 {
				t.Errorf("%s: %d characters", sheet.FontFaces[face], seen)
			}
		}
	}
}
