package dye

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// BottleMix is one colour to be made up: its strength, the volume for each bottle, and the
// number of bottles. It is mixed once, in a jug, and then filled into the bottles, so
// that there is one weighing instead of many.
type BottleMix struct {
	Strength     unit.Concentration // powder per finished volume, of the full shade
	BottleVolume unit.Volume        // finished volume for each bottle
	BottleCount  unit.Count         // bottles
	Depth        unit.Share         // of the full shade: 0.5 is half as strong
}

// PowderPerBottle is the dye powder for one bottle: strength × volume × depth.
func (m BottleMix) PowderPerBottle() unit.Mass {
	return unit.Mass(float64(m.Strength.MassIn(m.BottleVolume)) * float64(m.Depth))
}

// TotalPowder is the dye powder for all bottles, weighed at once into the jug.
func (m BottleMix) TotalPowder() unit.Mass {
	return unit.Mass(float64(m.PowderPerBottle()) * float64(m.BottleCount))
}

// JugVolume is the volume of all bottles.
func (m BottleMix) JugVolume() unit.Volume {
	return unit.Volume(float64(m.BottleVolume) * float64(m.BottleCount))
}

// MadeUpStrength is the strength that is mixed: the full strength times the depth.
func (m BottleMix) MadeUpStrength() unit.Concentration {
	return unit.Concentration(float64(m.Strength) * float64(m.Depth))
}

// judgementSource is the source of a limit that this program sets.
func judgementSource(text string) provenance.Source {
	return provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: " + text}
}

// The limits of mixing.
var (
	// MaxGoodError is the error of a weighing that does not show in the cloth.
	MaxGoodError = provenance.Value{Name: "error of a weighing that does not matter", Value: 0.05, Unit: "1", Source: judgementSource("5 % more or less dye is a difference that few can see")}
	// MaxAcceptableError is the error above which a weighing is too coarse.
	MaxAcceptableError = provenance.Value{Name: "error of a weighing that is too coarse", Value: 0.10, Unit: "1", Source: judgementSource("10 g on a 1 g scale")}
	// BottleFillShare says how full a squeeze bottle may be, as a share of what it takes.
	BottleFillShare = provenance.Value{Name: "fill of a squeeze bottle", Value: 0.85, Unit: "1", Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: room to shake it, and it does not spit when it is squeezed"}}
	// StockStrength is the strength of the stock that is measured by syringe.
	StockStrength = provenance.Value{Name: "strength of a stock to measure by syringe", Value: 50, Unit: "g/L", Source: judgementSource("20 g in 400 mL dissolves readily")}
)

// SyringeError says how far a reading of a syringe may be off.
var SyringeError = provenance.Value{Name: "error of a syringe", Value: 0.5, Unit: "mL", Source: judgementSource("half a step of 1 mL")}

// MaxUsefulStrength is the strength above which more powder no longer dyes deeper in
// proportion: that of the strongest recipes in use.
var MaxUsefulStrength = provenance.Value{Name: "strength above which more powder dyes hardly deeper", Value: 76, Unit: "g/L",
	Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: the strongest recipes for hand dyeing stop there"}}

// ScaleError says how far a weighing of m may be off, either way. A weighing is
// the difference of two readings, each accurate to half a step of the scale, so it is
// accurate to one step. Where m is zero or less, ScaleError returns zero.
func ScaleError(m, division unit.Mass) unit.Share {
	if m <= 0 {
		return 0
	}
	return unit.Share(float64(division) / float64(m))
}

// SmallestVolume is the volume from which a scale is accurate to 5 % for the mix: where it
// needs twenty steps of powder. Where the strength is zero, it is zero.
func (m BottleMix) SmallestVolume(division unit.Mass) unit.Volume {
	if m.MadeUpStrength() <= 0 {
		return 0
	}
	return unit.Volume(float64(division) / MaxGoodError.Value / float64(m.MadeUpStrength()) * 1000)
}

// Deviation is the share by which the powder weighed differs from what the jug needs;
// above zero is too much. low and high include the error of the scale.
func (m BottleMix) Deviation(weighed, division unit.Mass) (middle, low, high unit.Share) {
	total := float64(m.TotalPowder())
	if total <= 0 {
		return 0, 0, 0
	}
	off := func(w unit.Mass) unit.Share { return unit.Share(float64(w)/total - 1) }
	return off(weighed), off(max(weighed-division, 0)), off(weighed + division)
}
