package colour

import (
	"math"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"coldbatch/internal/reftest"
)

// A general-purpose library agrees on sRGB ↔ XYZ ↔ CIELAB and on CIEDE2000. Its L* goes from 0
// to 1 and its a* and b* with it; its own helper for almost equal values is not used, because it
// passes whatever is small. It takes a white of 0.95047, 1, 1.08883.
func TestAgreesWithLibrary(t *testing.T) {
	rows := reftest.Load(t, "css-keywords.tsv")
	labs := make([]Lab, len(rows))
	for i, row := range rows {
		c := rgbOf(t, row["srgb"])
		labs[i] = FromSRGB(c[0], c[1], c[2])
		l, a, b := colorful.Color{R: float64(c[0]) / 255, G: float64(c[1]) / 255, B: float64(c[2]) / 255}.Lab()
		want := Lab{100 * l, 100 * a, 100 * b}
		if d := math.Sqrt(square(labs[i].L-want.L) + square(labs[i].A-want.A) + square(labs[i].B-want.B)); !(d <= 0.05) {
			t.Errorf("%s: %v, the library %v, %.4f apart", row["keyword"], labs[i], want, d)
		}
		for k, x := range []float64{labs[i].L - row.Number(t, "l"), labs[i].A - row.Number(t, "a"), labs[i].B - row.Number(t, "b")} {
			if !(math.Abs(x) <= 0.001) { // the table is what the page's library is compared with
				t.Errorf("%s: %v is off the table in value %d", row["keyword"], labs[i], k)
			}
		}
		if back, inGamut := want.SRGB(); !inGamut || back != c {
			t.Errorf("%s comes back as %v, in gamut %t", row["keyword"], back, inGamut)
		}
	}
	for i := range labs {
		p, q := labs[i], labs[(i*37+11)%len(labs)]
		want := 100 * colorful.Lab(p.L/100, p.A/100, p.B/100).DistanceCIEDE2000(colorful.Lab(q.L/100, q.A/100, q.B/100))
		if got := Difference(p, q); !(math.Abs(got-want) <= 0.05) {
			t.Errorf("%v and %v are %.3f apart, by the library %.3f", p, q, got, want)
		}
	}
}

// Of a Lab a library gives the XYZ of; ours comes by its reflectance, so that a neutral of
// reflectance R has Y = R and no chroma.
func TestNeutralAgreesWithLibrary(t *testing.T) {
	for _, r := range []float64{0.02, 0.18, 0.5, 0.9} {
		var s Spectrum
		for i := range s {
			s[i] = ReflectanceFromKS(KSFromReflectance(r))
		}
		lab := s.Lab()
		_, y, _ := colorful.Lab(lab.L/100, lab.A/100, lab.B/100).Xyz()
		if math.Abs(y-r) > 1e-4 || math.Abs(lab.A) > 0.01 || math.Abs(lab.B) > 0.01 {
			t.Errorf("reflectance %g has Lab %v, whose Y is %g by the library", r, lab, y)
		}
	}
}

func square(x float64) float64 { return x * x }
