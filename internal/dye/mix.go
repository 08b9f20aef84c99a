package dye

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Mix is a colour as it is made up: a strength, a volume for each bottle, and
// how many bottles of it there are. It is mixed once, in a jug, and then filled
// into the bottles: one weighing instead of many.
type Mix struct {
	Strength unit.Concentration // powder per volume made up to, of the full shade
	Bottle   unit.Volume        // made up to, for each bottle
	Count    unit.Count         // bottles
	Depth    unit.Share         // of the full shade: 0.5 is half as strong
}

// Powder is the dye powder for one bottle: strength × volume × depth.
func (m Mix) Powder() unit.Mass {
	return unit.Mass(float64(m.Strength.In(m.Bottle)) * float64(m.Depth))
}

// Total is the dye powder for all bottles, weighed at once into the jug.
func (m Mix) Total() unit.Mass { return unit.Mass(float64(m.Powder()) * float64(m.Count)) }

// Jug is the volume of all bottles.
func (m Mix) Jug() unit.Volume { return unit.Volume(float64(m.Bottle) * float64(m.Count)) }

// Made is the strength as it is made up: the full strength times the depth.
func (m Mix) Made() unit.Concentration {
	return unit.Concentration(float64(m.Strength) * float64(m.Depth))
}

// judgement marks a limit that this program sets.
func judgement(text string) fault.Source {
	return fault.Source{Kind: fault.Judgement, Text: "judgement, no source: " + text}
}

// The limits of mixing.
var (
	// Good is the error of a weighing that does not show in the cloth.
	Good = fault.Value{Name: "error of a weighing that does not matter", Value: 0.05, Unit: "1", Source: judgement("5 % more or less dye is a difference that few can see")}
	// Coarse is the error from which a weighing is not worth making.
	Coarse = fault.Value{Name: "error of a weighing that is too coarse", Value: 0.10, Unit: "1", Source: judgement("10 g on a 1 g scale")}
	// Fill is how full a squeeze bottle may be, as a share of what it takes.
	Fill = fault.Value{Name: "fill of a squeeze bottle", Value: 0.85, Unit: "1", Source: fault.Source{Kind: fault.Practice, Text: "common practice, no source: room to shake, and no spit when it is squeezed"}}
	// Stock is the strength of the stock that is measured by syringe.
	Stock = fault.Value{Name: "strength of a stock to measure by syringe", Value: 50, Unit: "g/L", Source: judgement("20 g in 400 mL dissolves readily")}
)

// SyringeError is how far a reading of a syringe may be off.
var SyringeError = fault.Value{Name: "error of a syringe", Value: 0.5, Unit: "mL", Source: judgement("half a step of 1 mL")}

// NoDeeper is the strength above which more powder no longer dyes deeper in
// proportion: that of the strongest recipes in use, 18 g per 8 fl oz.
var NoDeeper = fault.Value{Name: "strength above which more powder dyes hardly deeper", Value: 76, Unit: "g/L",
	Source: fault.Source{Kind: fault.Practice, Text: "common practice, no source: the strongest recipes for hand dyeing stop there"}}

// ScaleError is how far a weighing of m may be off, either way. A weighing is
// the difference of two readings, each good to half a division, so it is good to
// one division. No mass gives zero.
func ScaleError(m, division unit.Mass) unit.Share {
	if m <= 0 {
		return 0
	}
	return unit.Share(float64(division) / float64(m))
}

// Smallest is the volume from which on a scale is good to 5 % for the mix: where
// twenty divisions of powder are due. A strength of zero gives zero.
func (m Mix) Smallest(division unit.Mass) unit.Volume {
	if m.Made() <= 0 {
		return 0
	}
	return unit.Volume(float64(division) / Good.Value / float64(m.Made()) * 1000)
}

// Deviation is by what share the powder that was weighed differs from what the
// jug needs; above zero is too much. Low and high allow for the scale.
func (m Mix) Deviation(weighed, division unit.Mass) (middle, low, high unit.Share) {
	total := float64(m.Total())
	if total <= 0 {
		return 0, 0, 0
	}
	off := func(w unit.Mass) unit.Share { return unit.Share(float64(w)/total - 1) }
	return off(weighed), off(max(weighed-division, 0)), off(weighed + division)
}
