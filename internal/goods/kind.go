// Package goods describes the pieces that are dyed: their kind, dry weight and fibre,
// and how much liquid they hold. Start with Kinds for the pieces and Fibres for the
// fibres. It does not deal with dye or alkali. A weight from here is an estimate, until
// the piece is weighed.
package goods

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// Kind is a kind of piece, such as a tee or a napkin.
type Kind string

// The kinds. Other is any piece whose weight the dyer enters.
const (
	TeeSmall   Kind = "tee-s"
	TeeMedium  Kind = "tee-m"
	TeeLarge   Kind = "tee-l"
	TeeXL      Kind = "tee-xl"
	TeeChild   Kind = "tee-child"
	Pillowcase Kind = "pillowcase"
	Apron      Kind = "apron"
	TeaTowel   Kind = "tea-towel"
	Napkin     Kind = "napkin"
	Bandana    Kind = "bandana"
	Socks      Kind = "socks"
	Scarf      Kind = "scarf"
	Tote       Kind = "tote"
	Bodysuit   Kind = "bodysuit"
	ClothMetre Kind = "cloth-metre"
	Other      Kind = "other"
)

// KindInfo is a kind with its words and estimated values.
type KindInfo struct {
	Kind   Kind   `json:"kind"`
	Code   uint8  `json:"code"`  // 0–15, printed in bag labels: never changes, never reused
	Words  string `json:"words"` // one piece of it
	Plural string `json:"many"`  // several

	Area    provenance.Value `json:"area"`    // m² of single cloth, both layers of a garment counted
	Density provenance.Value `json:"density"` // g/m²
	Grams   provenance.Value `json:"grams"`   // dry weight as it lies in a room
}

// Sources of the table below.
var (
	garmentPatternSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement from flat-pattern geometry, ±12 %, no source"}
	jerseyDensitySource  = provenance.Source{Reliability: provenance.Memory, Text: "trade range of adult tee jersey, 140–180 g/m²"}
	finishedSizeSource   = provenance.Source{Reliability: provenance.Judgement, Text: "judgement from usual finished sizes, no source"}
	fabricWeightSource   = provenance.Source{Reliability: provenance.Judgement, Text: "judgement for the usual cloth of such a piece, no source"}
)

// areaSpread is the error of an area in the table, as a share (judgement).
const areaSpread = 0.12

// kinds holds every kind at the index of its code.
var kinds = []KindInfo{
	newKindInfo(TeeSmall, 0, "tee, small", "tees, small", 0.80, garmentPatternSource, 160, 140, 180, jerseyDensitySource),
	newKindInfo(TeeMedium, 1, "tee, medium", "tees, medium", 0.90, garmentPatternSource, 160, 140, 180, jerseyDensitySource),
	newKindInfo(TeeLarge, 2, "tee, large", "tees, large", 1.00, garmentPatternSource, 160, 140, 180, jerseyDensitySource),
	newKindInfo(TeeXL, 3, "tee, extra large", "tees, extra large", 1.10, garmentPatternSource, 160, 140, 180, jerseyDensitySource),
	newKindInfo(TeeChild, 4, "child's tee", "children's tees", 0.55, garmentPatternSource, 160, 140, 180, jerseyDensitySource),
	newKindInfo(Pillowcase, 5, "pillowcase", "pillowcases", 0.90, finishedSizeSource, 130, 110, 150, fabricWeightSource), // 50 × 80 cm, two layers and a flap
	newKindInfo(Apron, 6, "apron", "aprons", 0.65, finishedSizeSource, 240, 200, 280, fabricWeightSource),                // 70 × 85 cm twill, with ties
	newKindInfo(TeaTowel, 7, "tea towel", "tea towels", 0.35, finishedSizeSource, 190, 150, 230, fabricWeightSource),     // 50 × 70 cm
	newKindInfo(Napkin, 8, "napkin", "napkins", 0.18, finishedSizeSource, 170, 140, 200, fabricWeightSource),             // 42 × 42 cm
	newKindInfo(Bandana, 9, "bandana", "bandanas", 0.30, finishedSizeSource, 100, 80, 120, fabricWeightSource),           // 55 × 55 cm
	newKindInfo(Socks, 10, "pair of socks", "pairs of socks", 0.22, finishedSizeSource, 270, 220, 320, fabricWeightSource),
	newKindInfo(Scarf, 11, "scarf", "scarves", 0.90, finishedSizeSource, 90, 60, 120, fabricWeightSource),       // 50 × 180 cm, light
	newKindInfo(Tote, 12, "tote bag", "tote bags", 0.38, finishedSizeSource, 220, 150, 300, fabricWeightSource), // 38 × 42 cm, two layers and handles
	newKindInfo(Bodysuit, 13, "baby's bodysuit", "babies' bodysuits", 0.33, finishedSizeSource, 190, 160, 220, fabricWeightSource),
	newKindInfo(ClothMetre, 14, "metre of cloth", "metres of cloth", 1.40, finishedSizeSource, 150, 110, 220, fabricWeightSource), // 1.4 m wide
}

// newKindInfo makes a row of the table. The weight is area times density; its range
// combines theirs.
func newKindInfo(k Kind, code uint8, one, many string, area float64, areaFrom provenance.Source, density, low, high float64, densityFrom provenance.Source) KindInfo {
	weight := provenance.Source{Reliability: provenance.Judgement, Text: "judgement: area times weight per area: " + areaFrom.Text + "; " + densityFrom.Text}
	return KindInfo{
		Kind: k, Code: code, Words: one, Plural: many,
		Area:    provenance.Value{Name: "area of a " + one, Value: area, Unit: "m²", Low: area * (1 - areaSpread), High: area * (1 + areaSpread), Source: areaFrom},
		Density: provenance.Value{Name: "weight per area of a " + one, Value: density, Unit: "g/m²", Low: low, High: high, Source: densityFrom},
		Grams:   provenance.Value{Name: "dry weight of a " + one, Value: area * density, Unit: "g", Low: area * (1 - areaSpread) * low, High: area * (1 + areaSpread) * high, Source: weight},
	}
}

// otherKind is the kind of a piece without estimated values; its code is the last.
var otherKind = KindInfo{Kind: Other, Code: 15, Words: "piece", Plural: "pieces"}

// Kinds lists every kind with estimated values, then Other.
func Kinds() []KindInfo { return append(append([]KindInfo{}, kinds...), otherKind) }

// Info returns the entry of k. An unknown kind has Other's entry, whose values are zero.
func (k Kind) Info() KindInfo {
	for _, i := range kinds {
		if i.Kind == k {
			return i
		}
	}
	return otherKind
}

// KindOf returns the kind of a label's code, 0–15; any other code is Other.
func KindOf(code uint8) Kind {
	if int(code) < len(kinds) {
		return kinds[code].Kind
	}
	return Other
}

// DryWeight is the estimated dry weight of one piece, zero for Other.
func (k Kind) DryWeight() unit.Mass { return unit.Mass(k.Info().Grams.Value) }
