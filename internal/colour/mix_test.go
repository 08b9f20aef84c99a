package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// The white point of CIE 015:2018 for D65 and the 2° observer is X 95.047, Z 108.883
// (x 0.3127, y 0.3290); sums over 10 nm are known to give X 95.017, Z 108.813.
func TestWhitePoint(t *testing.T) {
	if math.Abs(whiteXYZ[0]-0.95017) > 2e-5 || math.Abs(whiteXYZ[1]-1) > 1e-12 || math.Abs(whiteXYZ[2]-1.08813) > 2e-5 {
		t.Errorf("white is %v", whiteXYZ)
	}
	sum := whiteXYZ[0] + whiteXYZ[1] + whiteXYZ[2]
	if x, y := whiteXYZ[0]/sum, whiteXYZ[1]/sum; math.Abs(x-0.3127) > 2e-4 || math.Abs(y-0.3290) > 2e-4 {
		t.Errorf("x %.4f, y %.4f", x, y)
	}
	if c := (Spectrum{}).white().Lab(); math.Abs(c.L-100) > 1e-9 || math.Abs(c.A)+math.Abs(c.B) > 1e-9 {
		t.Errorf("white is %v", c)
	}
}

// Values of (1−R)²/2R are algebra: R 0.05, 0.10, 0.20, 0.50, 0.80.
func TestKubelkaMunk(t *testing.T) {
	for _, row := range [][2]float64{{0.05, 9.025}, {0.10, 4.05}, {0.20, 1.60}, {0.30, 49. / 60}, {0.50, 0.25}, {0.80, 0.025}, {1, 0}} {
		if got := KSFromReflectance(row[0]); math.Abs(got-row[1]) > 1e-12 {
			t.Errorf("K/S of %g is %g, want %g", row[0], got, row[1])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(1e-4, 1).Draw(t, "reflectance")
		if back := ReflectanceFromKS(KSFromReflectance(r)); math.Abs(back-r) > 1e-9 {
			t.Fatalf("%g came back as %g", r, back)
		}
	})
}

func TestScreenAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := [3]uint8{rapid.Byte().Draw(t, "r"), rapid.Byte().Draw(t, "g"), rapid.Byte().Draw(t, "b")}
		got, inGamut := FromSRGB(want[0], want[1], want[2]).SRGB()
		if got != want || !inGamut {
			t.Fatalf("%v came back as %v, in gamut %v", want, got, inGamut)
		}
	})
	far := Lab{60, 120, 90}
	rgb, inGamut := far.SRGB()
	if inGamut {
		t.Error("a colour of chroma 150 is said to fit a screen")
	}
	if near := FromSRGB(rgb[0], rgb[1], rgb[2]); math.Abs(near.L-60) > 1 || math.Abs(hue(near.A, near.B)-hue(far.A, far.B)) > 3 {
		t.Errorf("lightness and hue moved: %v", near)
	}
}

// Mixing adds K/S, so order and grouping do not matter, and a dye with itself is itself.
func TestMixing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pick := rapid.SampledFrom(Dyes())
		amount := rapid.Float64Range(0, 4)
		a, b := DyeAmount{pick.Draw(t, "a"), amount.Draw(t, "of a")}, DyeAmount{pick.Draw(t, "b"), amount.Draw(t, "of b")}
		c := DyeAmount{pick.Draw(t, "c"), amount.Draw(t, "of c")}
		same := func(what string, p, q Spectrum) {
			for i := range p {
				if math.Abs(p[i]-q[i]) > 1e-9*(1+p[i]) {
					t.Fatalf("%s: %g and %g at %g nm", what, p[i], q[i], wavelength(i))
				}
			}
		}
		same("order", AbsorptionOf(a, b, c), AbsorptionOf(c, a, b))
		same("itself", AbsorptionOf(DyeAmount{a.Dye, a.BondedPercent / 2}, DyeAmount{a.Dye, a.BondedPercent / 2}), AbsorptionOf(a))
	})
}

// More dye is darker, wet is darker than dry, and no dye is white.
func TestDepth(t *testing.T) {
	if w := DryAppearance(AbsorptionOf()); w.Word != "white" || w.Lab.L < 92 {
		t.Errorf("undyed cotton is %+v", w)
	}
	for _, d := range Dyes() {
		last := 101.
		for _, amount := range []float64{0, 0.05, 0.2, 0.8, 2, 5} {
			dry, wet := DryAppearance(AbsorptionOf(DyeAmount{d, amount})), WetAppearance(AbsorptionOf(DyeAmount{d, amount}))
			if dry.Lab.L >= last || wet.Lab.L >= dry.Lab.L {
				t.Errorf("%s at %g %%: L* %.1f dry, %.1f wet, %.1f with less", d.Name, amount, dry.Lab.L, wet.Lab.L, last)
			}
			last = dry.Lab.L
		}
	}
}

// At 1.5 % of bonded dye each dye looks as its Colour Index name says.
func TestHues(t *testing.T) {
	words := map[string]string{
		"Yellow": "yellow deep yellow", "Orange": "orange rust red", "Red": "red magenta pink dark red", "Violet": "violet plum",
		"Blue": "blue navy turquoise light blue blue-green", "Brown": "brown rust orange", "Black": "navy black dark grey",
	}
	for _, d := range Dyes() {
		family := d.Name[len("C.I. Reactive "):]
		for i := range family {
			if family[i] == ' ' {
				family = family[:i]
				break
			}
		}
		l := DryAppearance(AbsorptionOf(DyeAmount{d, 1.5}))
		t.Logf("%-24s %-12s L* %.0f a* %.0f b* %.0f #%02x%02x%02x in gamut %v", d.Name, l.Word, l.Lab.L, l.Lab.A, l.Lab.B, l.RGB[0], l.RGB[1], l.RGB[2], l.InGamut)
		found := false
		for _, w := range splitWords(words[family]) {
			found = found || w == l.Word
		}
		if !found {
			t.Errorf("%s looks %s", d.Name, l.Word)
		}
	}
}

func splitWords(s string) []string {
	// "deep yellow", "dark red", "light blue", "dark grey" are one word each.
	var out []string
	for _, w := range wordSamples {
		if contains(s, w.name) {
			out = append(out, w.name)
		}
	}
	return out
}

func contains(s, sub string) bool {
	for i := 0; i+len(sub) <= len(s); i++ {
		if s[i:i+len(sub)] == sub {
			return true
		}
	}
	return false
}

// Each of 200 mixtures of up to three known dyes is found again within CIEDE2000 1.
func TestMatchFindsMixtures(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 7))
	worst := 0.
	for range 200 {
		var loads []DyeAmount
		for range 1 + r.IntN(3) {
			loads = append(loads, DyeAmount{Dyes()[r.IntN(len(Dyes()))], 0.05 + 2*r.Float64()})
		}
		wanted := DryAppearance(AbsorptionOf(loads...)).Lab
		best := Match(Dyes(), wanted, 3)[0]
		worst = max(worst, best.Distance)
		if best.Distance > 1 {
			t.Errorf("%v: found %v, %.2f away", loads, best.Amounts, best.Distance)
		}
	}
	t.Logf("the worst is %.3f away", worst)
}

// A swatch gives a dye that looks like it at its depth, and paler at less.
func TestFromSwatch(t *testing.T) {
	for _, d := range Dyes() {
		want := DryAppearance(AbsorptionOf(DyeAmount{d, 1})).Lab
		made, err := FromSwatch("mine", want, 2)
		if err != nil {
			t.Errorf("%s: %v", d.Name, err)
			continue
		}
		if got := DryAppearance(AbsorptionOf(DyeAmount{made, 2})).Lab; Difference(got, want) > 3 {
			t.Errorf("%s: the swatch came back %.1f away", d.Name, Difference(got, want))
		}
		if DryAppearance(AbsorptionOf(DyeAmount{made, 0.5})).Lab.L <= want.L {
			t.Errorf("%s: less dye is not paler", d.Name)
		}
	}
	if _, err := FromSwatch("glow", Lab{90, -80, 80}, 1); err == nil {
		t.Error("a colour that glows was taken for dyed cotton")
	}
}

// Yellow with a little violet loses its chroma; two reds do not.
func TestMuddy(t *testing.T) {
	pair := func(a, b string, of, ob float64) (bool, float64) {
		p, _ := Find(a)
		q, _ := Find(b)
		parts := []Lab{DryAppearance(AbsorptionOf(DyeAmount{p, of})).Lab, DryAppearance(AbsorptionOf(DyeAmount{q, ob})).Lab}
		mixed := DryAppearance(AbsorptionOf(DyeAmount{p, of}, DyeAmount{q, ob})).Lab
		return IsMuddy(mixed, parts, []float64{1, 1}), ChromaLost(mixed, parts, []float64{1, 1})
	}
	if muddy, lost := pair("yellow 86", "violet 5", 1, 0.7); !muddy {
		t.Errorf("yellow and violet are not muddy: %.2f lost", lost)
	}
	if muddy, lost := pair("red 1", "red 2", 1, 1); muddy {
		t.Errorf("two reds are muddy: %.2f lost", lost)
	}
	if muddy, lost := pair("yellow 86", "blue 21", 1, 0.5); muddy {
		t.Errorf("yellow and turquoise, a bright green, are muddy: %.2f lost", lost)
	}
}
