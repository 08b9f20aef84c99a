package liquor

import (
	"coldbatch/internal/goods"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// PickUpShare is the dye liquor that wrung cloth takes up, as a share of its dry
// weight: what full cloth holds less what wrung cloth holds.
var PickUpShare = provenance.Value{Name: "dye liquor that wrung cloth takes up", Value: goods.HeldWhenFull.Value - goods.HeldAfterWringing.Value, Unit: "1",
	Low: goods.HeldWhenFull.Low - goods.HeldAfterWringing.High, High: goods.HeldWhenFull.High - goods.HeldAfterWringing.Low,
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: what full cloth holds less what hand-wrung cloth holds, each with its range"}}

// BondedShare is the share of the dye in the cloth that bonds in a cold batch. The
// rest reacts with water and is washed out.
var BondedShare = provenance.Value{Name: "share of the dye that bonds", Value: 0.70, Unit: "1", Low: 0.50, High: 0.85,
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement for a cold batch in a bag; in exhaust dyeing dyes with one reactive group average below 65 %: RSC Advances 2019, doi 10.1039/c9ra02108f"}}

// StrengthForDepth is the concentration of liquor that brings depth, powder as a share of the dry weight
// of the cloth, into cloth that takes up pickUp of its dry weight. A gram of
// liquor is taken as a millilitre. A pick-up of zero or less returns zero.
func StrengthForDepth(depth, pickUp unit.Share) unit.Concentration {
	if pickUp <= 0 {
		return 0
	}
	return unit.Concentration(float64(depth) / float64(pickUp) * 1000)
}

// DepthFromStrength is the inverse of StrengthForDepth: the powder in the cloth as a share of its
// dry weight.
func DepthFromStrength(c unit.Concentration, pickUp unit.Share) unit.Share {
	return unit.Share(float64(c) * float64(pickUp) / 1000)
}

// PowderForDepth is the dye powder that brings depth to dry cloth of that weight.
func PowderForDepth(depth unit.Share, cloth unit.Mass) unit.Mass {
	return unit.Mass(float64(depth) * float64(cloth))
}

// ClothForPowder is the dry weight of cloth that powder dyes to depth. A depth of zero or
// less returns zero.
func ClothForPowder(powder unit.Mass, depth unit.Share) unit.Mass {
	if depth <= 0 {
		return 0
	}
	return unit.Mass(float64(powder) / float64(depth))
}

// DepthBand describes how deep a colour is, in one word.
type DepthBand string

// The bands, from the palest.
const (
	PaleBand     DepthBand = "pale"
	MediumBand   DepthBand = "medium"
	DeepBand     DepthBand = "deep"
	VeryDeepBand DepthBand = "very-deep"
)

// DepthBands lists the bands.
func DepthBands() []DepthBand { return []DepthBand{PaleBand, MediumBand, DeepBand, VeryDeepBand} }

// depthBandSource is the source of the limits of the bands.
var depthBandSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: recipes for reactive dyes change their salt at 0.5, 2 and 4 % on the weight of the cloth"}

// The deepest colour of each band.
var (
	PaleMaxDepth   = provenance.Value{Name: "pale colours, powder on the dry weight up to", Value: 0.005, Unit: "1", Source: depthBandSource}
	MediumMaxDepth = provenance.Value{Name: "medium colours, powder on the dry weight up to", Value: 0.02, Unit: "1", Source: depthBandSource}
	DeepMaxDepth   = provenance.Value{Name: "deep colours, powder on the dry weight up to", Value: 0.04, Unit: "1", Source: depthBandSource}
)

// BandOf returns the band of a depth. A limit belongs to the paler band.
func BandOf(depth unit.Share) DepthBand {
	const tie = 1 + 1e-9 // the last bits of a build never decide
	switch d := float64(depth); {
	case d <= PaleMaxDepth.Value*tie:
		return PaleBand
	case d <= MediumMaxDepth.Value*tie:
		return MediumBand
	case d <= DeepMaxDepth.Value*tie:
		return DeepBand
	}
	return VeryDeepBand
}
