package labeldamage

import (
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"coldbatch/internal/sheet"
)

// The looks of the app's scanner: as the picture is, sharpened, and with hidden
// finders painted anew, in this order and no further than the first that reads.
func TestLooks(t *testing.T) {
	text := labelAddress(t, 8)
	code, err := sheet.QR(text)
	if err != nil {
		t.Fatal(err)
	}
	far, reader := code.Size-8, startReader(t)
	// cover lays paper over a square of so many modules of the code.
	cover := func(x, y, side int) func(*scene, *rand.Rand) {
		return func(s *scene, _ *rand.Rand) {
			at := s.label.codes[0]
			for row := range side * dotsPerModule {
				for i := range side * dotsPerModule {
					s.label.pix[((at[1]+y)*dotsPerModule+row)*s.label.w+(at[0]+x)*dotsPerModule+i] = paperReflectance
				}
			}
		}
	}
	for _, row := range []struct {
		why  string
		harm func(*scene, *rand.Rand)
		turn int
		read int // of ten pictures, at least; none where it is 0
	}{
		{"a clean picture, as it is", nil, 0, 10},
		{"a lens far out of focus, sharpened", func(s *scene, _ *rand.Rand) { s.blur, s.px, s.noise = 0.55, 5, 1 }, 1, 9},
		{"without the finder at the top left", cover(0, 0, 8), 3, 9},
		{"without the finder at the top right", cover(far, 0, 8), 3, 9},
		{"without the finder at the foot", cover(0, far, 8), 3, 9},
		{"the finders, and hardly anything else", cover(8, 8, code.Size-8), 3, 0},
		{"print without a code", cover(0, 0, code.Size), 3, 0},
	} {
		read := 0
		for i := range 10 {
			r, err := reader.readPicture(DamageKind{Name: "looks", addDamage: row.harm}.Draw(code, i), filepath.Join(t.TempDir(), "a.ppm"))
			switch {
			case err != nil:
				t.Fatal(err)
			case len(r.Texts) > 0 && (row.read == 0 || !slices.Equal(r.Texts, []string{text})):
				t.Errorf("%s, picture %d: %q", row.why, i, r.Texts)
			case len(r.Texts) > 0 && r.Turn == row.turn:
				read++
			}
		}
		if read < row.read {
			t.Errorf("%s: %d of 10 read in look %d, want %d", row.why, read, row.turn, row.read)
		}
	}
}
