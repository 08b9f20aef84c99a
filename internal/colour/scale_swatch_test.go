package colour

import "testing"

// A swatch scaled by 1 is itself and by 0 white cotton; more dye is never lighter.
func TestScaleSwatch(t *testing.T) {
	white := DryAppearance(AbsorptionOf()).Lab
	for _, rgb := range [][3]uint8{{0xe9, 0xa2, 0x1b}, {0xb5, 0x37, 0x2a}, {0x1f, 0x4e, 0x9c}, {0x3d, 0x6b, 0x35}, {0x22, 0x24, 0x2a}} {
		swatch := FromSRGB(rgb[0], rgb[1], rgb[2])
		last := 200.
		for _, times := range []float64{0, 0.1, 0.25, 0.5, 1, 2, 4} {
			got, err := ScaleSwatch(swatch, times)
			if err != nil {
				t.Fatal(err)
			}
			if got.Lab.L > last+0.01 {
				t.Errorf("%v × %g has L* %.1f, after %.1f with less dye", rgb, times, got.Lab.L, last)
			}
			last = got.Lab.L
			if times == 1 && got.RGB != rgb {
				t.Errorf("%v × 1 looks like %v", rgb, got.RGB)
			}
			if times == 0 && Difference(got.Lab, white) > 0.01 {
				t.Errorf("%v × 0 is %+v, not white cotton", rgb, got.Lab)
			}
		}
	}
	if got, err := ScaleSwatch(FromSRGB(0, 255, 0), 0.5); err == nil {
		t.Errorf("light of a screen is taken for dyed cotton: %+v", got)
	}
}

// From how a known dye looks at 1 % it is found how it looks at half and at twice as much.
func TestScaleSwatchFollowsTheDye(t *testing.T) {
	for _, d := range Dyes() {
		at := func(percent float64) Lab { return DryAppearance(AbsorptionOf(DyeAmount{d, percent})).Lab }
		for _, times := range []float64{0.25, 0.5, 2} {
			got, err := ScaleSwatch(at(1), times)
			if err != nil {
				t.Fatal(err)
			}
			if e := Difference(got.Lab, at(times)); e > 3 {
				t.Errorf("%s × %g is off by %.1f", d.Name, times, e)
			}
		}
	}
}
