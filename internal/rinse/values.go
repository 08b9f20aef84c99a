package rinse

import "coldbatch/internal/provenance"

// Affinity says how strongly loose dye clings to the cloth.
type Affinity string

// How strongly it may cling. Alkali and salts do not.
const (
	NoAffinity       Affinity = "not"
	MiddlingAffinity Affinity = "middling"
	StrongAffinity   Affinity = "strongly"
)

// affinitySource is why the figures are a guess for any one dye.
var affinitySource = provenance.Source{Reliability: provenance.Judgement,
	Text: "judgement, no source for the figure; that dyes differ by nearly all there is, and cling less when hot: M. Ferus-Comelo, Coloration Technology 129 (2013), 46 hydrolysed dyes, abstract"}

// ColdAffinity says how much of the dye is on a kilogram of cloth for the amount in a litre of
// cold liquor, in L/kg: 0, 5 or 50. A way that is not listed counts as MiddlingAffinity.
func (c Affinity) ColdAffinity() provenance.Value {
	v := provenance.Value{Name: "some loose dye, cold: on the cloth for what is in the liquor", Value: 5, Unit: "L/kg", Source: affinitySource}
	switch c {
	case NoAffinity:
		v.Name, v.Value = "alkali, and dye that does not cling", 0
	case StrongAffinity:
		v.Name, v.Value = "a lot of loose dye, cold: on the cloth for what is in the liquor", 50
	}
	return v
}

// HotAffinity is ColdAffinity in a bath of 60 °C or hotter with detergent.
func (c Affinity) HotAffinity() provenance.Value {
	v := provenance.Value{Name: "some loose dye, hot with detergent", Value: 1, Unit: "L/kg", Low: 0.5, High: 2, Source: affinitySource}
	switch c {
	case NoAffinity:
		v.Name, v.Value, v.Low, v.High = "dye that does not cling, hot", 0, 0, 0
	case StrongAffinity:
		v.Name, v.Value, v.Low, v.High = "a lot of loose dye, hot with detergent", 5, 2, 10
	}
	return v
}

// MassBalanceSource is the source of the sums.
var MassBalanceSource = provenance.Source{Reliability: provenance.Memory, Text: "textbook mass balance of a stirred tub, with a linear isotherm"}

// MaxShareLeft is what may be left.
var MaxShareLeft = provenance.Value{Name: "share that may be left", Value: 0.001, Unit: "1",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: a thousandth of the loose dye shows on no rag"}}

// WashOrderSource is the source of WashSteps.
var WashOrderSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: alkali out before hot soap, which with alkali breaks the bond of dye and fibre"}

// WashSteps says how to wash out, in order. cold is the cold rinse that was worked out, such
// as "3 cold baths", and hot the hot baths, such as "2 hot baths".
func WashSteps(cold, hot string) []string {
	return []string{
		"light colours first, dark ones last, each in its own water",
		"rinse cold while still tied, until the water runs pale",
		"untie under cold running water",
		cold + ", stirred, until the alkali is out: the cloth no longer feels slippery",
		"only then " + hot + " at 60 °C or hotter with a little detergent, 10 min each, until the water stays clear",
		"press a wet white rag on it at 60 °C: it should stay white",
		"machine-wash it alone the first time",
	}
}
