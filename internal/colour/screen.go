package colour

import "math"

// xyzToSRGB is the inverse of srgbToXYZ: CIE XYZ to linear sRGB.
var xyzToSRGB = inverse(srgbToXYZ)

// SRGB returns the screen value of c, 0–255 each. A colour that no sRGB screen can show
// loses chroma, at the same lightness and hue, until it can be shown; inGamut is then
// false.
func (c Lab) SRGB() (rgb [3]uint8, inGamut bool) {
	lin := c.linearSRGB()
	if fitsScreen(lin) {
		return encode(lin), true
	}
	low, high := 0., 1.
	for range 20 {
		mid := (low + high) / 2
		if fitsScreen(Lab{c.L, c.A * mid, c.B * mid}.linearSRGB()) {
			low = mid
		} else {
			high = mid
		}
	}
	return encode(Lab{c.L, c.A * low, c.B * low}.linearSRGB()), false
}

// linearSRGB returns the linear sRGB components of c, beyond 0–1 outside the gamut.
func (c Lab) linearSRGB() (lin [3]float64) {
	fy := (c.L + 16) / 116
	xyz := [3]float64{inverseLightness(fy+c.A/500) * whitePoint[0], inverseLightness(fy) * whitePoint[1], inverseLightness(fy-c.B/200) * whitePoint[2]}
	for i, m := range xyzToSRGB {
		lin[i] = m[0]*xyz[0] + m[1]*xyz[1] + m[2]*xyz[2]
	}
	return lin
}

// fitsScreen says whether a screen can show lin, to half a step of 8 bits at the ends.
func fitsScreen(lin [3]float64) bool {
	const slack = 0.5 / 255 / 12.92
	for _, v := range lin {
		if v < -slack || v > 1+slack*28 {
			return false
		}
	}
	return true
}

// encode applies the transfer curve of IEC 61966-2-1.
func encode(lin [3]float64) (rgb [3]uint8) {
	for i, v := range lin {
		rgb[i] = encodeOne(v)
	}
	return rgb
}

func encodeOne(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.04045/12.92 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/srgbGamma) - 0.055
	}
	return uint8(math.Round(v * 255))
}

// inverseLightness is the inverse of lightness.
func inverseLightness(f float64) float64 {
	if f <= linearBoundRoot {
		return (f - 4./29) * 3 * linearBoundRoot * linearBoundRoot
	}
	return f * f * f
}

// inverse returns the inverse of a matrix by its adjugate.
func inverse(m [3][3]float64) (inv [3][3]float64) {
	cofactor := func(i, j int) float64 {
		a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return m[a][c]*m[b][d] - m[a][d]*m[b][c]
	}
	det := 0.
	for j := range 3 {
		det += m[0][j] * cofactor(0, j)
	}
	for i := range 3 {
		for j := range 3 {
			inv[j][i] = cofactor(i, j) / det
		}
	}
	return inv
}
