package colour

import (
	"math"
	"strings"

	"coldbatch/internal/fault"
)

// Dye is a dye as it colours cotton: bands of absorption. Make one with Find for a
// Colour Index generic dye, or with FromSwatch for a dye that only its swatch is
// known of.
type Dye struct {
	Name  string // Colour Index generic name, or the name that the dyer gave it
	Hue   string // plain word
	Bands []Band

	spectrum Spectrum // K/S for 1 % of bonded dye on the weight of the cloth
}

// Band is one band of absorption: a normal curve over wavelength.
type Band struct {
	Peak   float64 // nm
	Width  float64 // standard deviation, nm
	Height float64 // K/S at the peak for 1 % of bonded dye on the weight of the cloth
}

// Absorption gives K/S at each wavelength for 1 % of bonded dye on the weight of the cloth.
func (d *Dye) Absorption() Spectrum { return d.spectrum }

// NewDye makes a dye from its bands.
func NewDye(name, hue string, bands ...Band) *Dye {
	d := &Dye{Name: name, Hue: hue, Bands: bands}
	for i := range d.spectrum {
		for _, b := range bands {
			x := (wavelength(i) - b.Peak) / b.Width
			d.spectrum[i] += b.Height * math.Exp(-x*x/2)
		}
	}
	return d
}

// DyeData is the source of the bands of the Colour Index dyes.
var DyeData = fault.Source{Kind: fault.Memory, Text: "wavelengths (±5 nm) and strengths (±20 %) of the main bands, indicative; widths and side bands by judgement; K/S for 1 % is a fifth of absorptivity over molar mass"}

// generic are dyes by their Colour Index generic names, of the classes that bond cold.
var generic = []*Dye{
	NewDye("C.I. Reactive Yellow 86", "yellow", Band{417, 33, 6.6}),
	NewDye("C.I. Reactive Yellow 84", "yellow", Band{414, 37, 6.1}),
	NewDye("C.I. Reactive Orange 4", "orange", Band{489, 34, 6.4}, Band{400, 36, 2.2}),
	NewDye("C.I. Reactive Orange 16", "orange", Band{493, 36, 7.1}, Band{390, 34, 2.1}),
	NewDye("C.I. Reactive Red 1", "red", Band{512, 30, 7.6}, Band{538, 22, 5.2}, Band{370, 40, 2.5}),
	NewDye("C.I. Reactive Red 2", "red", Band{539, 22, 9.6}, Band{512, 26, 7.0}, Band{375, 40, 1.9}),
	NewDye("C.I. Reactive Red 120", "red", Band{512, 30, 6.8}, Band{541, 22, 5.4}, Band{375, 40, 1.8}),
	NewDye("C.I. Reactive Red 24", "red", Band{534, 26, 7.4}, Band{506, 28, 5.6}, Band{375, 40, 1.7}),
	NewDye("C.I. Reactive Violet 5", "violet", Band{560, 34, 5.4}, Band{528, 30, 3.4}, Band{390, 40, 1.0}),
	NewDye("C.I. Reactive Blue 4", "blue", Band{597, 34, 3.5}, Band{632, 22, 2.2}, Band{380, 30, 0.9}),
	NewDye("C.I. Reactive Blue 19", "blue", Band{592, 34, 3.2}, Band{626, 22, 2.3}, Band{380, 30, 0.5}),
	NewDye("C.I. Reactive Blue 21", "turquoise", Band{664, 24, 12.0}, Band{624, 26, 9.5}, Band{355, 36, 7.0}),
	NewDye("C.I. Reactive Brown 10", "brown", Band{430, 60, 5.0}, Band{510, 55, 3.2}),
	NewDye("C.I. Reactive Black 5", "navy or black", Band{598, 46, 7.5}, Band{540, 46, 3.0}, Band{390, 44, 2.6}),
}

// Dyes lists the Colour Index dyes that Find knows.
func Dyes() []*Dye { return generic }

// Find gives the dye of a Colour Index generic name, in any case, with or without
// "C.I. Reactive". A name that is unknown or given twice is a *fault.Fault of code Input.
func Find(name string) (*Dye, error) {
	want := strings.Join(strings.Fields(strings.ToLower(name)), " ")
	want = strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(want, "c.i. "), "ci "), "reactive ")
	for _, d := range generic {
		if strings.ToLower(strings.TrimPrefix(d.Name, "C.I. Reactive ")) == want {
			return d, nil
		}
	}
	var known []string
	for _, d := range generic {
		known = append(known, strings.ToLower(strings.TrimPrefix(d.Name, "C.I. Reactive ")))
	}
	return nil, fault.New(fault.Input, "%q is not a dye with known colour", name).
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
	near := Match(generic, swatch, 2)[0]
	if near.Distance > farFromCotton || len(near.Loads) == 0 {
		return nil, fault.New(fault.Input, "the swatch of %q does not look like dyed white cotton", name).
			WithHint("take its photo in daylight beside white paper, out of the sun")
	}
	var bands []Band
	for _, l := range near.Loads {
		for _, b := range l.Dye.Bands {
			bands = append(bands, Band{b.Peak, b.Width, b.Height * l.Bonded / fixed})
		}
	}
	rgb, _ := swatch.SRGB()
	return NewDye(name, Word(rgb[0], rgb[1], rgb[2]), bands...), nil
}

// farFromCotton is the CIEDE2000 beyond which a swatch is not taken for dyed cotton.
const farFromCotton = 8 // judgement: twice what a photo is off by
