package colour

// ScaleSwatch returns how white cotton looks with times as much dye (0 to 10) as cloth that looks
// like swatch has. With 1 it is the swatch itself, with 0 white cotton. It works with a mixture
// of the known dyes that looks like the swatch, so far from 1 it is an estimate. A swatch that no
// dye on white cotton gives is a *fault.Fault of code Input.
func ScaleSwatch(swatch Lab, times float64) (Appearance, error) {
	d, err := FromSwatch("swatch", swatch, 1)
	if err != nil {
		return Appearance{}, err
	}
	times = min(max(times, 0), 10)
	near := DryAppearance(AbsorptionOf(DyeAmount{d, 1})).Lab
	lab := DryAppearance(AbsorptionOf(DyeAmount{d, times})).Lab
	share := min(times, 1) // of what the mixture is off by: white cotton is as it is
	lab.L += (swatch.L - near.L) * share
	lab.A += (swatch.A - near.A) * share
	lab.B += (swatch.B - near.B) * share
	out := Appearance{Lab: lab}
	out.RGB, out.InGamut = lab.SRGB()
	out.Word = PlainWord(out.RGB[0], out.RGB[1], out.RGB[2])
	return out, nil
}
