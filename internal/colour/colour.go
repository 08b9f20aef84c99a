// Package colour measures colours and how far they changed: CIELAB, the difference
// CIEDE2000, and the grey-scale grades of ISO 105 for a colour that changed and a
// white that was stained; and the plain word for a colour on a screen. Start with
// Parse, then Difference, RateColourChange and RateStaining, or with PlainWord. It mixes no dyes, and it
// corrects no photo: what a camera made of a colour is taken as it is.
package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
)

// Lab is a colour in CIELAB for daylight D65 and the 2° observer: L* from 0 to
// 100, a* and b* about 0 for greys (ISO/CIE 11664-4).
type Lab struct{ L, A, B float64 }

// maxAB is the largest a* or b* that is read: beyond what surfaces have.
const maxAB = 200

// Parse reads a colour: "lab 52.3 41 -8" as a colour meter gives it, or
// "#b3433a" as a phone does. rough tells the second, which is no measurement.
// Anything else is refused with a *fault.Fault of code Input.
func Parse(typed string) (c Lab, rough bool, err error) {
	s := strings.TrimSpace(typed)
	if hex, ok := strings.CutPrefix(s, "#"); ok && len(hex) == 6 {
		if n, bad := strconv.ParseUint(hex, 16, 24); bad == nil {
			return FromSRGB(uint8(n>>16), uint8(n>>8), uint8(n)), true, nil
		}
	}
	f := strings.Fields(s)
	if len(f) == 4 && strings.EqualFold(f[0], "lab") {
		v := [3]float64{}
		good := true
		for i := range v {
			low, high := -float64(maxAB), float64(maxAB)
			if i == 0 {
				low, high = 0, 100
			}
			var ok bool
			v[i], ok = number(f[i+1])
			good = good && ok && v[i] >= low && v[i] <= high
		}
		if good {
			return Lab{v[0], v[1], v[2]}, false, nil
		}
	}
	return Lab{}, false, fault.New(fault.Input, "%q is not a colour", typed).
		WithHint("lab 52.3 41 -8 (L* from 0 to 100, a* and b* from -200 to 200) or #b3433a")
}

// number reads digits with a sign and a decimal point or comma.
func number(s string) (float64, bool) {
	s = strings.ReplaceAll(strings.ReplaceAll(strings.TrimSuffix(s, ","), ",", "."), "−", "-")
	if strings.Trim(s, "+-.0123456789") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// SRGBSource is the source of FromSRGB.
var SRGBSource = provenance.Source{Reliability: provenance.Published, Text: "IEC 61966-2-1:1999 (sRGB) and ISO/CIE 11664-4 (CIELAB, D65), as read in public copies of their formulas, which agree"}

// The matrix of IEC 61966-2-1 from linear sRGB to CIE XYZ, and the white of D65
// that its rows add up to, so that greys have a* = b* = 0.
var (
	srgbToXYZ  = [3][3]float64{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}
	whitePoint = [3]float64{0.9505, 1, 1.0890}
)

// srgbGamma is the exponent of the transfer curve of IEC 61966-2-1.
const srgbGamma = 2.4

// colourSpaceValues lists the coefficients of sRGB and of CIEDE2000.
func colourSpaceValues() []provenance.Value {
	return []provenance.Value{
		{Name: "CIEDE2000, with the coefficients of equations 2–22 as printed: factors of lightness, chroma and hue", Value: 1, Unit: "1", Source: CIEDE2000Source},
		{Name: "sRGB, straight up to 0.04045 with slope 1/12.92, else (u + 0.055)/1.055: exponent", Value: srgbGamma, Unit: "1", Source: SRGBSource},
		{Name: fmt.Sprintf("sRGB to XYZ by the rows %v, with the white %v: Y of the white", srgbToXYZ, whitePoint), Value: whitePoint[1], Unit: "1", Source: SRGBSource},
		{Name: "CIELAB, a cube root above (6/29)³ and straight below: bound", Value: linearBoundRoot * linearBoundRoot * linearBoundRoot, Unit: "1", Source: SRGBSource},
	}
}

// FromSRGB returns the colour of a screen or photo value, 0–255 each.
func FromSRGB(r, g, b uint8) Lab {
	lr, lg, lb := srgbToLinear(r), srgbToLinear(g), srgbToLinear(b)
	var xyz [3]float64
	for i, m := range srgbToXYZ {
		xyz[i] = (m[0]*lr + m[1]*lg + m[2]*lb) / whitePoint[i]
	}
	return labOf(xyz[0], xyz[1], xyz[2])
}

// labOf returns CIELAB from XYZ relative to the white (ISO/CIE 11664-4).
func labOf(x, y, z float64) Lab {
	fx, fy, fz := lightness(x), lightness(y), lightness(z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// srgbToLinear undoes the transfer curve of IEC 61966-2-1.
func srgbToLinear(v uint8) float64 {
	u := float64(v) / 255
	if u <= 0.04045 {
		return u / 12.92
	}
	return math.Pow((u+0.055)/1.055, srgbGamma)
}

// linearBoundRoot is the cube root of the bound below which lightness is straight.
const linearBoundRoot = 6. / 29

// lightness is the function f of ISO/CIE 11664-4.
func lightness(t float64) float64 {
	if t <= linearBoundRoot*linearBoundRoot*linearBoundRoot {
		return t/(3*linearBoundRoot*linearBoundRoot) + 4./29
	}
	return math.Pow(t, 1./3)
}

// chroma and hue (in degrees, from 0 up to 360; 0 for a grey) of a* and b*.
func chroma(a, b float64) float64 { return math.Sqrt(a*a + b*b) }

func hue(a, b float64) float64 {
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}
