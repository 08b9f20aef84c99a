// Package colour measures colours and how far they moved: CIELAB, the difference
// CIEDE2000, and the grey-scale grades of ISO 105 for a colour that changed and a
// white that was stained. Start with Parse, then Difference, Change and Stain.
// It mixes no dyes and names no colours, and it corrects no photo: what a camera
// made of a colour is taken as it is.
package colour

import (
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// Lab is a colour in CIELAB for daylight D65 and the 2° observer: L* from 0 to
// 100, a* and b* about 0 for greys (ISO/CIE 11664-4).
type Lab struct{ L, A, B float64 }

// farthest is the largest a* or b* that is read: beyond what surfaces have.
const farthest = 200

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
			low, high := -float64(farthest), float64(farthest)
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

// SRGB is the source of FromSRGB.
var SRGB = fault.Source{Kind: fault.Published, Text: "IEC 61966-2-1:1999 (sRGB) and ISO/CIE 11664-4 (CIELAB, D65), as public copies of their formulas agree"}

// FromSRGB gives the colour of a screen or photo value, 0–255 each.
func FromSRGB(r, g, b uint8) Lab {
	lr, lg, lb := linear(r), linear(g), linear(b)
	// IEC 61966-2-1, matrix to CIE XYZ with the white of D65; its rows add up to
	// that white, here X 0.9505, Y 1, Z 1.0890, so greys have a* = b* = 0.
	x := (0.4124*lr + 0.3576*lg + 0.1805*lb) / 0.9505
	y := 0.2126*lr + 0.7152*lg + 0.0722*lb
	z := (0.0193*lr + 0.1192*lg + 0.9505*lb) / 1.0890
	fx, fy, fz := lightness(x), lightness(y), lightness(z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// linear undoes the transfer curve of IEC 61966-2-1.
func linear(v uint8) float64 {
	u := float64(v) / 255
	if u <= 0.04045 {
		return u / 12.92
	}
	return math.Pow((u+0.055)/1.055, 2.4)
}

// lightness is the function f of ISO/CIE 11664-4.
func lightness(t float64) float64 {
	const d = 6. / 29
	if t <= d*d*d {
		return t/(3*d*d) + 4./29
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
