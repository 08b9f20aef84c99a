package cure

import (
	"math"
	"slices"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// MixedDye is dye that was mixed with water some time ago.
type MixedDye struct {
	Class       dye.Class
	Alkali      bool // it has soda ash in it too
	Temperature unit.Temperature
	Age         unit.Duration
}

// DyeFreshness says how good mixed dye still is, in one word for a program.
type DyeFreshness string

// The words, the freshest first.
const (
	FreshnessGood    DyeFreshness = "good"
	FreshnessUseSoon DyeFreshness = "use-soon"
	FreshnessWeak    DyeFreshness = "weak"
	FreshnessDiscard DyeFreshness = "discard"
)

// What practice says about mixed dye at 21 °C. Water alone attacks it slowly, and the
// model of chemistry.go does not tell how slowly: extrapolated from pH 10 to pH 7 at
// 21 °C, its half-life is 690 days with an order of 1 in hydroxide and 6 days with
// 0.5, both within what the rates in print allow. So without soda ash there is no
// figure, only practice, scaled by temperature. With soda ash the rates were measured
// close to that pH, and what is left decides.
var (
	WithSodaUseWithin = provenance.Value{Name: "with soda ash, use within", Value: 3600, Unit: "s", Source: provenance.CommonPracticeSource}
	WithSodaDiscardAt = provenance.Value{Name: "with soda ash, discard at", Value: 4 * 3600, Unit: "s", Source: provenance.CommonPracticeSource}

	plainDyeSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: 3–7 days at room temperature"}

	WithoutSodaGoodFor   = provenance.Value{Name: "without soda ash, good for", Value: 3, Unit: "days", Source: plainDyeSource}
	WithoutSodaUseWithin = provenance.Value{Name: "without soda ash, use within", Value: 7, Unit: "days", Source: plainDyeSource}
	WithoutSodaDiscardAt = provenance.Value{Name: "without soda ash, discard at", Value: 14, Unit: "days",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: twice what practice gives it"}}
	// KeepingActivationEnergy scales the hours and days of practice to other temperatures.
	KeepingActivationEnergy = provenance.Value{Name: "activation energy of the keeping of mixed dye", Value: 75, Unit: "kJ/mol", Low: 60, High: 90,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: that assumed for the hydrolysis of dichlorotriazine, no source"}}

	// The shares of the dye left at which the words change.
	MinShareGood    = provenance.Value{Name: "left of good dye, at least", Value: 0.90, Unit: "1", Source: dyeLeftSource}
	MinShareUseSoon = provenance.Value{Name: "left of dye to use soon, at least", Value: 0.75, Unit: "1", Source: dyeLeftSource}
	MinShareWeak    = provenance.Value{Name: "left of weak dye, at least", Value: 0.40, Unit: "1", Source: dyeLeftSource}
	dyeLeftSource   = provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: a tenth less hardly shows, a quarter less is paler, with more than half lost the colour misses its aim"}

	// BottlePH is the pH of dye with soda ash in it.
	BottlePH = provenance.Value{Name: "pH of dye with soda ash in it", Value: 11.2, Unit: "1", Low: 11, High: 11.5,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: soda ash of which a few hundredths are spent, by the alkali reserve computed with USGS PHREEQC 3"}}
	// NeutralWaterSource is what was measured of one class without soda ash.
	NeutralWaterSource = provenance.Source{Reliability: provenance.Published,
		Text: "Djordjevic, Cerkovnik, Gorensek, kinetics of hydrolysis of some reactive dyes before and after purification, 2006, abstract: monochlorotriazine at pH 7 unchanged after 24 h at 20 °C"}
)

// AgeAt21 returns the age at 21 °C that has the same effect as m.Age at m.Temperature: longer if the
// dye was kept warmer, shorter if it was kept colder.
func (m MixedDye) AgeAt21() unit.Duration {
	return unit.Duration(float64(m.Age) * arrheniusFactor(KeepingActivationEnergy.Value, float64(m.Temperature), UsualTemperature.Value))
}

// KeepingTimesWithoutSoda returns how long dye in plain water is to be used within, how long it is
// good for, and when it is discarded, kept at t: the days of practice, scaled by
// temperature.
func KeepingTimesWithoutSoda(t unit.Temperature) (use, good, last unit.Duration) {
	perDay := float64(MixedDye{Temperature: t, Age: 86400}.AgeAt21())
	at := func(days provenance.Value) unit.Duration { return unit.Duration(days.Value * 86400 / perDay * 86400) }
	return at(WithoutSodaUseWithin), at(WithoutSodaGoodFor), at(WithoutSodaDiscardAt)
}

// Freshness returns how good m still is. With soda ash and a class whose rate is known
// it follows from what is left; otherwise from practice, scaled by temperature. Soda
// ash never keeps dye longer than plain water does by practice.
func (m MixedDye) Freshness() DyeFreshness {
	age := float64(m.AgeAt21())
	plain := freshnessByLimits(age/86400, WithoutSodaGoodFor.Value, WithoutSodaUseWithin.Value, WithoutSodaDiscardAt.Value)
	if !m.Alkali {
		return plain
	}
	soda := freshnessByLimits(age, -1, WithSodaUseWithin.Value, WithSodaDiscardAt.Value)
	if r := m.Remaining(); r != nil {
		soda = freshnessByLimits(-float64(r.Share), -MinShareGood.Value, -MinShareUseSoon.Value, -MinShareWeak.Value)
	}
	if freshnessRank(soda) < freshnessRank(plain) {
		return plain
	}
	return soda
}

// freshnessByLimits returns FreshnessGood for x up to good, FreshnessUseSoon up to soon, FreshnessWeak below last, and
// FreshnessDiscard from there on.
func freshnessByLimits(x, good, soon, last float64) DyeFreshness {
	switch {
	case x >= last:
		return FreshnessDiscard
	case x > soon:
		return FreshnessWeak
	case x > good:
		return FreshnessUseSoon
	}
	return FreshnessGood
}

func freshnessRank(f DyeFreshness) int {
	return slices.Index([]DyeFreshness{FreshnessGood, FreshnessUseSoon, FreshnessWeak, FreshnessDiscard}, f)
}

// Remaining is the share of dye that has not reacted with water, and the time in
// which half of it does, each with its range: a model.
type Remaining struct {
	Share, Low, High                            unit.Share
	HalfLife, ShortestHalfLife, LongestHalfLife unit.Duration
}

// Remaining returns what is left of m, with the range over the ends of the activation
// energy, the order in hydroxide and BottlePH. It returns nil where the model does
// not hold: without soda ash, for a class without rates, and outside 0–60 °C.
func (m MixedDye) Remaining() *Remaining {
	k, ok := kineticsOf(m.Class)
	if !ok || !m.Alkali || !(m.Temperature >= 0 && m.Temperature <= 60) {
		return nil
	}
	at := func(ph, energy, order float64) (unit.Share, unit.Duration) {
		rate := k.rate(m.Temperature, unit.PH(ph), energy, order)
		return unit.Share(math.Exp(-rate * float64(m.Age))), unit.Duration(math.Ln2 / rate)
	}
	var r Remaining
	r.Share, r.HalfLife = at(BottlePH.Value, k.Energy.Value, hydroxideOrder.Value)
	r.Low, r.High, r.ShortestHalfLife, r.LongestHalfLife = r.Share, r.Share, r.HalfLife, r.HalfLife
	for _, ph := range []float64{BottlePH.Low, BottlePH.High} {
		for _, e := range []float64{k.Energy.Low, k.Energy.High} {
			for _, n := range []float64{hydroxideOrder.Low, hydroxideOrder.High} {
				left, half := at(ph, e, n)
				r.Low, r.High = min(r.Low, left), max(r.High, left)
				r.ShortestHalfLife, r.LongestHalfLife = min(r.ShortestHalfLife, half), max(r.LongestHalfLife, half)
			}
		}
	}
	return &r
}

// KeepingValues returns every constant that the keeping of mixed dye rests on.
func KeepingValues() []provenance.Value {
	return []provenance.Value{WithSodaUseWithin, WithSodaDiscardAt, WithoutSodaGoodFor, WithoutSodaUseWithin, WithoutSodaDiscardAt, KeepingActivationEnergy, UsualTemperature, MinShareGood, MinShareUseSoon, MinShareWeak, BottlePH,
		dichlorotriazine.AnchorRate, dichlorotriazine.Energy, monochlorotriazine.AnchorRate, monochlorotriazine.Energy,
		anchorCelsius, anchorPH, hydroxideOrder, gasConstant, zeroCelsiusInKelvin, alkali.IonProduct}
}
