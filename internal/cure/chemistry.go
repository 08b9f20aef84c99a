package cure

import (
	"math"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// KineticEstimate is a kinetic estimate beside what practice says: how long until 95 %
// of the dye has reacted, with fibre or with water, at the present temperature.
// It is a model and never replaces practice.
type KineticEstimate struct {
	PH      unit.PH       `json:"ph"`
	Assumed bool          `json:"assumed"` // nobody measured the pH
	Low     unit.Duration `json:"low"`
	To95    unit.Duration `json:"to95"`
	High    unit.Duration `json:"high"`
	// PaleTime is the time for a pale shade, whose soda ash is hardly spent; only where
	// the pH is assumed.
	PaleTime unit.Duration `json:"pale,omitempty"`
}

// kinetics says how fast one class reacts: first order in dye,
//
//	k = AnchorRate · exp(−Energy/R · (1/T − 1/T0)) · (a(OH) / a0(OH))^order
//
// with T0 and a0 those of the anchor, 60 °C and pH 10.
type kinetics struct {
	AnchorRate provenance.Value
	Energy     provenance.Value
}

// RatesSource is where the rates at the anchor were read. It quotes an earlier
// work that was not seen. The source of the model's own figures is ModelSource.
var RatesSource = provenance.Source{Reliability: provenance.Published,
	Text: "Lu Zonglu, reactive dyes for printing cotton (in Chinese), 2006–2007, pp. 43–45, table 1, quoting an earlier work: hydrolysis of one chromophore with different reactive groups"}

// ModelSource is the source of every figure of the model, which carries the rates
// to other temperatures and pH.
var ModelSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement: a model, from rates that were read"}

// The range in which the model holds. Below minModelPH there is hardly any soda ash,
// and the order in hydroxide decides the figure (see mixed_dye.go).
const (
	minModelPH          unit.PH          = 10
	maxModelTemperature unit.Temperature = 60
)

// The constants of the model.
var (
	anchorCelsius = provenance.Value{Name: "temperature of the anchor", Value: 60, Unit: "°C", Source: RatesSource}
	anchorPH      = provenance.Value{Name: "pH of the anchor", Value: 10, Unit: "1", Source: RatesSource}

	dichlorotriazine = kinetics{
		AnchorRate: provenance.Value{Name: "hydrolysis of dichlorotriazine at 60 °C, pH 10", Value: 0.33, Unit: "1/min", Source: RatesSource},
		Energy: provenance.Value{Name: "activation energy of dichlorotriazine", Value: 75, Unit: "kJ/mol", Low: 60, High: 90,
			Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, assumed: no source was found for dichlorotriazine"}},
	}
	monochlorotriazine = kinetics{
		AnchorRate: provenance.Value{Name: "hydrolysis of monochlorotriazine at 60 °C, pH 10", Value: 4.7e-4, Unit: "1/min", Source: RatesSource},
		Energy: provenance.Value{Name: "activation energy of monochlorotriazine", Value: 85, Unit: "kJ/mol", Low: 75, High: 95,
			Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement; 75–92 follows from two rates in the abstract of Dyestuffs and Coloration 2004 no. 6, 331–333 (C.I. Reactive Red 24), which contradicts itself"}},
	}

	hydroxideOrder = provenance.Value{Name: "order in hydroxide", Value: 0.7, Unit: "1", Low: 0.4, High: 1,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: 1 by the textbook rate law, less where the dye's bridge ionises above pH 11 (from memory)"}}

	// ReadyPH is the pH of the cloth below which no bag is called ready.
	ReadyPH = provenance.Value{Name: "lowest pH of the cloth at which a bag is called ready", Value: 10.2, Unit: "1",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: below it more than a third of the soda ash is spent, by the alkali reserve computed with USGS PHREEQC 3, and the usual time is not enough"}}
	// PalePH is the pH of the cloth under a pale shade.
	PalePH = provenance.Value{Name: "pH of the cloth under a pale shade", Value: 11.3, Unit: "1",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: soda ash of which a few hundredths are spent, by the alkali reserve computed with USGS PHREEQC 3"}}
	// ClothPH is what the pH of the cloth comes down to while it cures.
	ClothPH = provenance.Value{Name: "pH of the cloth while it cures", Value: 10.5, Unit: "1", Low: 10.4, High: 10.7,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: soda ash of which a tenth to a quarter is spent, by the alkali reserve computed with USGS PHREEQC 3"}}
)

// kineticsOf returns the kinetics of a class, and false for a class without them: no rate
// that is surely of a vinyl sulfone was found in print.
func kineticsOf(c dye.Class) (kinetics, bool) {
	switch c {
	case dye.Dichlorotriazine:
		return dichlorotriazine, true
	case dye.Monochlorotriazine:
		return monochlorotriazine, true
	}
	return kinetics{}, false
}

// rate returns k in 1/s at t and ph for an activation energy in kJ/mol and an
// order in hydroxide.
func (k kinetics) rate(t unit.Temperature, ph unit.PH, energy, order float64) float64 {
	alkaline := alkali.OHActivity(ph, t) / alkali.OHActivity(unit.PH(anchorPH.Value), unit.Temperature(anchorCelsius.Value))
	return k.AnchorRate.Value / 60 * arrheniusFactor(energy, float64(t), anchorCelsius.Value) * math.Pow(alkaline, order)
}

// timeTo95Percent returns the seconds until 95 % has reacted at the rate k.
func timeTo95Percent(k float64) unit.Duration { return unit.Duration(math.Log(20) / k) }

// EstimateKinetics returns the estimate for a class at a steady temperature, from 0 to 60 °C,
// and a pH from 10. The range is over the ends of the activation energy and of the
// order in hydroxide; its low end is 0 for less than half a minute. With a nil ph it
// takes ClothPH, and the range is over that of ClothPH too. It returns nil where
// the model does not hold.
func EstimateKinetics(c dye.Class, t unit.Temperature, ph *unit.PH) *KineticEstimate {
	k, ok := kineticsOf(c)
	if !ok || !(t >= 0 && t <= maxModelTemperature) || ph != nil && !(*ph >= minModelPH) {
		return nil
	}
	at := func(ph, energy, order float64) unit.Duration {
		return timeTo95Percent(k.rate(t, unit.PH(ph), energy, order))
	}
	out := KineticEstimate{PH: unit.PH(ClothPH.Value), Assumed: true}
	ends := []float64{ClothPH.Low, ClothPH.High}
	if ph != nil {
		out.PH, out.Assumed = *ph, false
		ends = []float64{float64(*ph)}
	} else {
		out.PaleTime = roundToMinutes(at(PalePH.Value, k.Energy.Value, hydroxideOrder.Value))
	}
	out.To95 = at(float64(out.PH), k.Energy.Value, hydroxideOrder.Value)
	out.Low, out.High = out.To95, out.To95
	for _, p := range ends {
		for _, e := range []float64{k.Energy.Low, k.Energy.High} {
			for _, n := range []float64{hydroxideOrder.Low, hydroxideOrder.High} {
				out.Low, out.High = min(out.Low, at(p, e, n)), max(out.High, at(p, e, n))
			}
		}
	}
	out.Low = unit.Duration(math.Round(float64(out.Low)/60) * 60) // may be none
	out.To95, out.High = roundToMinutes(out.To95), roundToMinutes(out.High)
	return &out
}

// ModelValues returns every constant that the times and the model rest on, with its
// range and its source, for the reference page.
func ModelValues() []provenance.Value {
	return []provenance.Value{UsualTime, UsualTemperature, VinylSulfoneTimeFactor, MinVinylSulfoneTemperature, ActivationEnergy, SlowBelowTemperature, FreezingTemperature, NoGainFactor, ReadyPH,
		dichlorotriazine.AnchorRate, dichlorotriazine.Energy, monochlorotriazine.AnchorRate, monochlorotriazine.Energy,
		anchorCelsius, anchorPH, hydroxideOrder, ClothPH, PalePH, gasConstant, zeroCelsiusInKelvin}
}
