package colour

import (
	"math"

	"coldbatch/internal/provenance"
)

// KubelkaMunkSource is the source of the relation between reflectance and K/S.
var KubelkaMunkSource = provenance.Source{Reliability: provenance.Memory, Text: "P. Kubelka and F. Munk, Z. tech. Phys. 12 (1931) 593, for an opaque layer, with a single constant as textile matching uses it"}

// KSFromReflectance returns the absorption K/S = (1−R)²/2R of a reflectance R. R below 0.0001 counts as that.
func KSFromReflectance(r float64) float64 {
	r = min(max(r, 1e-4), 1)
	return (1 - r) * (1 - r) / (2 * r)
}

// ReflectanceFromKS returns R from K/S; below 0 counts as 0. It is the inverse of KSFromReflectance.
func ReflectanceFromKS(ks float64) float64 {
	ks = max(ks, 0)
	return 1 / (1 + ks + math.Sqrt(ks*ks+2*ks)) // 1+q−√(q²+2q), without the difference of large numbers
}

// cottonKS is the K/S of bleached white cotton: a little yellow in the violet
// (judgement: reflectance 0.72 at 380 nm, 0.86 from 500 nm on).
var cottonKS = func() (s Spectrum) {
	for i := range s {
		r := 0.86 - 0.14*math.Exp(-(wavelength(i)-380)/40)
		s[i] = KSFromReflectance(r)
	}
	return s
}()

// wetFactor says how much smaller the scattering of wet cloth is: water fills the air
// between the fibres, so that the same K stands over a smaller S.
var wetFactor = provenance.Value{Name: "scattering of dry cloth over that of wet cloth", Value: 1.9, Unit: "1",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: wet cotton looks about as much darker; the optics is that of J. Lekner and M. C. Dorf, Appl. Opt. 27 (1988) 1278, from memory"}}

// DyeAmount is a dye and how much of it has bonded.
type DyeAmount struct {
	Dye           *Dye
	BondedPercent float64 // bonded dye in per cent of the cloth's dry weight
}

// AbsorptionOf returns K/S of white cotton with what has bonded to it. K/S adds up by
// amount, and so the order of loads does not matter.
func AbsorptionOf(loads ...DyeAmount) Spectrum {
	s := cottonKS
	for _, l := range loads {
		k := l.Dye.Absorption()
		c := max(l.BondedPercent, 0)
		for i := range s {
			s[i] += k[i] * c
		}
	}
	return s
}

// Appearance describes how dyed cloth looks.
type Appearance struct {
	Lab     Lab
	RGB     [3]uint8
	InGamut bool   // false where a screen shows it duller than it is
	Word    string // plain word
}

// DryAppearance says how cloth of that K/S looks dry, and WetAppearance how it looks wet.
func DryAppearance(ks Spectrum) Appearance { return appearanceOf(ks, 1) }
func WetAppearance(ks Spectrum) Appearance { return appearanceOf(ks, wetFactor.Value) }

func appearanceOf(ks Spectrum, factor float64) (l Appearance) {
	for i := range ks {
		ks[i] = ReflectanceFromKS(ks[i] * factor)
	}
	l.Lab = ks.Lab()
	l.RGB, l.InGamut = l.Lab.SRGB()
	l.Word = PlainWord(l.RGB[0], l.RGB[1], l.RGB[2])
	return l
}

// ChromaLost returns how much duller a mixture is than its parts: the share, from 0 to
// 1, of the chroma that the parts have at their shares of the whole.
func ChromaLost(mixed Lab, parts []Lab, shares []float64) float64 {
	sum, total := 0., 0.
	for i, p := range parts {
		sum += shares[i] * chroma(p.A, p.B)
		total += shares[i]
	}
	if sum <= 0 || total <= 0 {
		return 0
	}
	return min(max(1-chroma(mixed.A, mixed.B)*total/sum, 0), 1)
}

// MinMuddyChromaLost is the share of chroma lost from which a mixture is called muddy.
var MinMuddyChromaLost = provenance.Value{Name: "chroma lost from which a mixture is called muddy", Value: 0.5, Unit: "1",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement"}}

// ClothValues lists the constants that drawing dyed cloth depends on.
func ClothValues() []provenance.Value { return []provenance.Value{wetFactor, MinMuddyChromaLost} }

// IsMuddy says whether a dyer would call the mixture muddy: it lost most of its
// parts' chroma, is dark enough to look dirty, and is not just black.
func IsMuddy(mixed Lab, parts []Lab, shares []float64) bool {
	return len(parts) > 1 && mixed.L < 60 && mixed.L > 15 && ChromaLost(mixed, parts, shares) >= MinMuddyChromaLost.Value
}
