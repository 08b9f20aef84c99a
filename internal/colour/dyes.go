package colour

import (
	"math"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
)

// Dye is a dye as it colours cotton: bands of absorption. Make one with Find for a
// Colour Index generic dye, or with FromSwatch for a dye that only its swatch is
// known of.
type Dye struct {
	Name  string // Colour Index generic name, or the name that the dyer gave it
	Hue   string // plain word
	Bands []AbsorptionBand

	spectrum Spectrum // K/S for 1 % of bonded dye on the weight of the cloth
}

// AbsorptionBand is one band of absorption: a normal curve over wavelength.
type AbsorptionBand struct {
	Peak   float64 // nm
	Width  float64 // standard deviation, nm
	Height float64 // K/S at the peak for 1 % of bonded dye on the weight of the cloth
}

// Absorption returns K/S at each wavelength for 1 % of bonded dye on the weight of the cloth.
func (d *Dye) Absorption() Spectrum { return d.spectrum }

// NewDye makes a dye from its bands.
func NewDye(name, hue string, bands ...AbsorptionBand) *Dye {
	d := &Dye{Name: name, Hue: hue, Bands: bands}
	for i := range d.spectrum {
		for _, b := range bands {
			x := (wavelength(i) - b.Peak) / b.Width
			d.spectrum[i] += b.Height * math.Exp(-x*x/2)
		}
	}
	return d
}

// DyeDataSource is the source of the bands of the Colour Index dyes.
var DyeDataSource = provenance.Source{Reliability: provenance.Memory, Text: "wavelengths (±5 nm) and strengths (±20 %) of the main bands, indicative; widths and side bands by judgement; K/S for 1 % is a fifth of absorptivity over molar mass"}

// genericDyes are dyes by their Colour Index generic names, of the classes that bond cold.
var genericDyes = []*Dye{
	NewDye("C.I. Reactive Yellow 86", "yellow", AbsorptionBand{417, 33, 6.6}),
	NewDye("C.I. Reactive Yellow 84", "yellow", AbsorptionBand{414, 37, 6.1}),
	NewDye("C.I. Reactive Orange 4", "orange", AbsorptionBand{489, 34, 6.4}, AbsorptionBand{400, 36, 2.2}),
	NewDye("C.I. Reactive Orange 16", "orange", AbsorptionBand{493, 36, 7.1}, AbsorptionBand{390, 34, 2.1}),
	NewDye("C.I. Reactive Red 1", "red", AbsorptionBand{512, 30, 7.6}, AbsorptionBand{538, 22, 5.2}, AbsorptionBand{370, 40, 2.5}),
	NewDye("C.I. Reactive Red 2", "red", AbsorptionBand{539, 22, 9.6}, AbsorptionBand{512, 26, 7.0}, AbsorptionBand{375, 40, 1.9}),
	NewDye("C.I. Reactive Red 120", "red", AbsorptionBand{512, 30, 6.8}, AbsorptionBand{541, 22, 5.4}, AbsorptionBand{375, 40, 1.8}),
	NewDye("C.I. Reactive Red 24", "red", AbsorptionBand{534, 26, 7.4}, AbsorptionBand{506, 28, 5.6}, AbsorptionBand{375, 40, 1.7}),
	NewDye("C.I. Reactive Violet 5", "violet", AbsorptionBand{560, 34, 5.4}, AbsorptionBand{528, 30, 3.4}, AbsorptionBand{390, 40, 1.0}),
	NewDye("C.I. Reactive Blue 4", "blue", AbsorptionBand{597, 34, 3.5}, AbsorptionBand{632, 22, 2.2}, AbsorptionBand{380, 30, 0.9}),
	NewDye("C.I. Reactive Blue 19", "blue", AbsorptionBand{592, 34, 3.2}, AbsorptionBand{626, 22, 2.3}, AbsorptionBand{380, 30, 0.5}),
	NewDye("C.I. Reactive Blue 21", "turquoise", AbsorptionBand{664, 24, 12.0}, AbsorptionBand{624, 26, 9.5}, AbsorptionBand{355, 36, 7.0}),
	NewDye("C.I. Reactive Brown 10", "brown", AbsorptionBand{430, 60, 5.0}, AbsorptionBand{510, 55, 3.2}),
	NewDye("C.I. Reactive Black 5", "navy or black", AbsorptionBand{598, 46, 7.5}, AbsorptionBand{540, 46, 3.0}, AbsorptionBand{390, 44, 2.6}),
}

// Dyes lists the Colour Index dyes that Find knows.
func Dyes() []*Dye { return genericDyes }

// Find returns the dye of a Colour Index generic name, in any case, with or without
// "C.I. Reactive". A name that is unknown or given twice is a *fault.Fault of code Input.
func Find(name string) (*Dye, error) {
	want := strings.Join(strings.Fields(strings.ToLower(name)), " ")
	want = strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(want, "c.i. "), "ci "), "reactive ")
	for _, d := range genericDyes {
		if strings.ToLower(strings.TrimPrefix(d.Name, "C.I. Reactive ")) == want {
			return d, nil
		}
	}
	var known []string
	for _, d := range genericDyes {
		known = append(known, strings.ToLower(strings.TrimPrefix(d.Name, "C.I. Reactive ")))
	}
	return nil, fault.New(fault.Input, "the colour of the dye %q is not known", name).
		WithHint("one of %s, or a swatch such as #b3433a", strings.Join(known, ", "))
}

// FromSwatch makes a dye from how cloth with fixed per cent of it looks: it takes the
// bands of the one or two known dyes that come nearest, scaled. Many spectra look
// alike, so mixtures of such a dye are rougher than those of a dye with known bands.
// A colour that no dye on white cotton has, and fixed outside 0.01–20, is a
// *fault.Fault of code Input.
func FromSwatch(name string, swatch Lab, fixed float64) (*Dye, error) {
	if !(fixed >= 0.01 && fixed <= 20) {
		return nil, fault.New(fault.Input, "%g %% of dye on the cloth is out of range", fixed).WithHint("0.01 to 20 %%")
	}
	near := Match(genericDyes, swatch, 2)[0]
	if near.Distance > maxSwatchDistance || len(near.Amounts) == 0 {
		return nil, fault.New(fault.Input, "the swatch of %q does not look like dyed white cotton", name).
			WithHint("take its photo in daylight beside white paper, out of the sun")
	}
	var bands []AbsorptionBand
	for _, l := range near.Amounts {
		for _, b := range l.Dye.Bands {
			bands = append(bands, AbsorptionBand{b.Peak, b.Width, b.Height * l.BondedPercent / fixed})
		}
	}
	rgb, _ := swatch.SRGB()
	return NewDye(name, PlainWord(rgb[0], rgb[1], rgb[2]), bands...), nil
}

// maxSwatchDistance is the CIEDE2000 beyond which a swatch is not taken for dyed cotton.
const maxSwatchDistance = 8 // judgement: twice what a photo is off by
