package colour

import "coldbatch/internal/provenance"

// SpectrumBands is the number of wavelengths of a Spectrum: 380, 390 … 780 nm.
const SpectrumBands = 41

// Spectrum holds one value for each wavelength from 380 to 780 nm in steps of 10:
// a reflectance from 0 to 1, or an absorption K/S of 0 or more.
type Spectrum [SpectrumBands]float64

// wavelength returns the wavelength of band i in nm.
func wavelength(i int) float64 { return 380 + 10*float64(i) }

// ObserverSource is the source of the weights that turn a spectrum into XYZ.
var ObserverSource = provenance.Source{Reliability: provenance.Published, Text: "CIE 015:2018 Colorimetry, tables of the 1931 2° observer (ISO/CIE 11664-1) and illuminant D65 (ISO/CIE 11664-2), at 10 nm, as public copies agree"}

// standardObserver is the CIE 1931 2° standard observer at 10 nm from 380 nm: x̄, ȳ, z̄.
var standardObserver = [SpectrumBands][3]float64{
	{0.001368, 0.000039, 0.00645}, {0.004243, 0.00012, 0.02005}, {0.01431, 0.000396, 0.06785}, {0.04351, 0.00121, 0.2074},
	{0.13438, 0.004, 0.6456}, {0.2839, 0.0116, 1.3856}, {0.34828, 0.023, 1.74706}, {0.3362, 0.038, 1.77211},
	{0.2908, 0.06, 1.6692}, {0.19536, 0.09098, 1.28764}, {0.09564, 0.13902, 0.81295}, {0.03201, 0.20802, 0.46518},
	{0.0049, 0.323, 0.272}, {0.0093, 0.503, 0.1582}, {0.06327, 0.71, 0.07825}, {0.1655, 0.862, 0.04216},
	{0.2904, 0.954, 0.0203}, {0.43345, 0.99495, 0.00875}, {0.5945, 0.995, 0.0039}, {0.7621, 0.952, 0.0021},
	{0.9163, 0.87, 0.00165}, {1.0263, 0.757, 0.0011}, {1.0622, 0.631, 0.0008}, {1.0026, 0.503, 0.00034},
	{0.85445, 0.381, 0.00019}, {0.6424, 0.265, 0.00005}, {0.4479, 0.175, 0.00002}, {0.2835, 0.107, 0},
	{0.1649, 0.061, 0}, {0.0874, 0.032, 0}, {0.04677, 0.017, 0}, {0.0227, 0.00821, 0},
	{0.011359, 0.004102, 0}, {0.00579, 0.002091, 0}, {0.002899, 0.001047, 0}, {0.00144, 0.00052, 0},
	{0.00069, 0.000249, 0}, {0.000332, 0.00012, 0}, {0.000166, 0.00006, 0}, {0.000083, 0.00003, 0}, {0.000042, 0.000015, 0},
}

// daylight is the relative power of CIE illuminant D65 at 10 nm from 380 nm.
var daylight = Spectrum{
	49.9755, 54.6482, 82.7549, 91.486, 93.4318, 86.6823, 104.865, 117.008, 117.812, 114.861, 115.923, 108.811,
	109.354, 107.802, 104.79, 107.689, 104.405, 104.046, 100, 96.3342, 95.788, 88.6856, 90.0062, 89.5991,
	87.6987, 83.2886, 83.6992, 80.0268, 80.0456, 82.2778, 78.2842, 69.7213, 71.6091, 74.349, 61.604, 69.8856,
	75.087, 63.5927, 46.4182, 66.8054, 63.3828,
}

// weights are observer times daylight, scaled so that a perfect white has Y = 1.
var weights = func() (w [SpectrumBands][3]float64) {
	sum := 0.
	for i, o := range standardObserver {
		sum += o[1] * daylight[i]
	}
	for i, o := range standardObserver {
		for k := range o {
			w[i][k] = o[k] * daylight[i] / sum
		}
	}
	return w
}()

// XYZ holds CIE 1931 tristimulus values under D65; a perfect white has Y = 1.
type XYZ [3]float64

// whiteXYZ is the XYZ of a perfect white by the weights. Lab is taken relative to it, so
// that the steps of 10 nm give white no tint.
var whiteXYZ = Spectrum{}.white().XYZ()

// white is the reflectance of a perfect white.
func (s Spectrum) white() Spectrum {
	for i := range s {
		s[i] = 1
	}
	return s
}

// XYZ integrates a reflectance.
func (s Spectrum) XYZ() (c XYZ) {
	for i, r := range s {
		for k, w := range weights[i] {
			c[k] += r * w
		}
	}
	return c
}

// Lab returns the colour of a reflectance.
func (s Spectrum) Lab() Lab {
	c := s.XYZ()
	return labOf(c[0]/whiteXYZ[0], c[1]/whiteXYZ[1], c[2]/whiteXYZ[2])
}
