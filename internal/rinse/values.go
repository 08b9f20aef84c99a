package rinse

import "coldbatch/internal/fault"

// Clings says how strongly loose dye holds on to the cloth.
type Clings string

// The ways it may cling. Alkali and salts do not.
const (
	Not      Clings = "not"
	Middling Clings = "middling"
	Strongly Clings = "strongly"
)

// substantivity is why K is a guess for any one dye.
var substantivity = fault.Source{Kind: fault.Practice,
	Text: "judgement, no source for the figure; that it spans nearly all there is, and falls with warmth: M. Ferus-Comelo, Coloration Technology 129 (2013), 46 hydrolysed dyes, abstract"}

// K is how much of the dye is on a kilogram of cloth for what is in a litre of
// cold liquor, in L/kg: 0, 5 or 50. A way that is not listed counts as middling.
func (c Clings) K() fault.Value {
	v := fault.Value{Name: "dye that clings middling, cold", Value: 5, Unit: "L/kg", Source: substantivity}
	switch c {
	case Not:
		v.Name, v.Value = "alkali, and dye that does not cling", 0
	case Strongly:
		v.Name, v.Value = "dye that clings strongly, cold", 50
	}
	return v
}

// Balance is the source of the sums.
var Balance = fault.Source{Kind: fault.Memory, Text: "textbook mass balance of a stirred tub, with a linear isotherm"}

// Target is what may be left.
var Target = fault.Value{Name: "share that may be left", Value: 0.001, Unit: "1",
	Source: fault.Source{Kind: fault.Practice, Text: "judgement, no source: a thousandth of the loose dye shows on no rag"}}

// Order is the source of Steps.
var Order = fault.Source{Kind: fault.Practice, Text: "common practice, no source: alkali out before hot soap, which with alkali breaks the bond of dye and fibre"}

// Steps is the sequence of washing out, in order; cold is the cold rinse that was
// worked out, such as "5 cold baths".
func Steps(cold string) []string {
	return []string{
		"light colours first, dark ones last, each in its own water",
		"rinse cold while still tied, until the water runs pale",
		"untie under cold running water",
		cold + ", moved about, until the alkali is out: the cloth no longer feels slippery",
		"only then hot, 60 °C and more, with a little detergent, 10 min; again until it runs clear",
		"press a wet white rag on it at 60 °C: it stays white",
		"the first time in the machine alone",
	}
}
