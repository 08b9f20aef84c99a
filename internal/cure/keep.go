package cure

import (
	"math"
	"slices"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// MixedDye is dye that was mixed with water some time ago.
type MixedDye struct {
	Class  dye.Class
	Alkali bool // it has soda ash in it too
	At     unit.Temperature
	Age    unit.Duration
}

// Freshness is how good mixed dye still is, in one word for a program.
type Freshness string

// The words, the freshest first.
const (
	Good    Freshness = "good"
	UseSoon Freshness = "use-soon"
	Weak    Freshness = "weak"
	Discard Freshness = "discard"
)

// What practice says of mixed dye at 21 °C. Water alone attacks it slowly, and the
// model of chemistry.go does not tell how slowly: extrapolated from pH 10 to pH 7 at
// 21 °C, its half-life is 690 days with an order of 1 in hydroxide and 6 days with
// 0.5, both within what the rates in print allow. So without soda ash there is no
// figure, only practice, scaled by temperature. With soda ash the rates were measured
// close to that pH, and what is left decides.
var (
	SodaUse  = fault.Value{Name: "with soda ash, use within", Value: 3600, Unit: "s", Source: fault.CommonPractice}
	SodaLast = fault.Value{Name: "with soda ash, discard at", Value: 4 * 3600, Unit: "s", Source: fault.CommonPractice}

	days = fault.Source{Kind: fault.Practice, Text: "common practice, no source: 3–7 days at room temperature"}

	PlainGood = fault.Value{Name: "without soda ash, good for", Value: 3, Unit: "days", Source: days}
	PlainUse  = fault.Value{Name: "without soda ash, use within", Value: 7, Unit: "days", Source: days}
	PlainLast = fault.Value{Name: "without soda ash, discard at", Value: 14, Unit: "days",
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source: twice what practice gives it"}}
	// KeepEnergy scales the hours and days of practice to other temperatures.
	KeepEnergy = fault.Value{Name: "activation energy of the keeping of mixed dye", Value: 75, Unit: "kJ/mol", Low: 60, High: 90,
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement: that assumed for the hydrolysis of dichlorotriazine, no source"}}

	// The shares of the dye left at which the words change.
	GoodLeft    = fault.Value{Name: "left of good dye, at least", Value: 0.90, Unit: "1", Source: leftJudged}
	UseSoonLeft = fault.Value{Name: "left of dye to use soon, at least", Value: 0.75, Unit: "1", Source: leftJudged}
	WeakLeft    = fault.Value{Name: "left of weak dye, at least", Value: 0.40, Unit: "1", Source: leftJudged}
	leftJudged  = fault.Source{Kind: fault.Judgement, Text: "judgement, no source: a tenth less hardly shows, a quarter less is paler, with more than half lost the colour misses its aim"}

	// BottlePH is the pH of dye with soda ash in it.
	BottlePH = fault.Value{Name: "pH of dye with soda ash in it", Value: 11.2, Unit: "1", Low: 11, High: 11.5,
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement: soda ash of which a few hundredths are spent, by the alkali reserve computed with USGS PHREEQC 3"}}
	// StaysNeutral is what was measured of one class without soda ash.
	StaysNeutral = fault.Source{Kind: fault.Published,
		Text: "Djordjevic, Cerkovnik, Gorensek, kinetics of hydrolysis of some reactive dyes before and after purification, 2006, abstract: monochlorotriazine at pH 7 unchanged after 24 h at 20 °C"}
)

// AgeAt21 gives the age at 21 °C that is worth the same: longer than m.Age where
// it stood warmer, shorter where it stood colder.
func (m MixedDye) AgeAt21() unit.Duration {
	return unit.Duration(float64(m.Age) * arrhenius(KeepEnergy.Value, float64(m.At), UsualAt.Value))
}

// KeepsPlain gives how long dye in plain water is to be used within, how long it is
// good for, and when it is discarded, kept at t: the days of practice, scaled by
// temperature.
func KeepsPlain(t unit.Temperature) (use, good, last unit.Duration) {
	perDay := float64(MixedDye{At: t, Age: 86400}.AgeAt21())
	at := func(days fault.Value) unit.Duration { return unit.Duration(days.Value * 86400 / perDay * 86400) }
	return at(PlainUse), at(PlainGood), at(PlainLast)
}

// Freshness gives how good m still is. With soda ash and a class whose rate is known
// it follows from what is left; otherwise from practice, scaled by temperature. Soda
// ash never keeps dye longer than plain water does by practice.
func (m MixedDye) Freshness() Freshness {
	age := float64(m.AgeAt21())
	plain := gradeBy(age/86400, PlainGood.Value, PlainUse.Value, PlainLast.Value)
	if !m.Alkali {
		return plain
	}
	soda := gradeBy(age, -1, SodaUse.Value, SodaLast.Value)
	if r := m.Remaining(); r != nil {
		soda = gradeBy(-float64(r.Share), -GoodLeft.Value, -UseSoonLeft.Value, -WeakLeft.Value)
	}
	if rankOf(soda) < rankOf(plain) {
		return plain
	}
	return soda
}

// gradeBy gives Good for x up to good, UseSoon up to soon, Weak below last, and
// Discard from there on.
func gradeBy(x, good, soon, last float64) Freshness {
	switch {
	case x >= last:
		return Discard
	case x > soon:
		return Weak
	case x > good:
		return UseSoon
	}
	return Good
}

func rankOf(f Freshness) int { return slices.Index([]Freshness{Good, UseSoon, Weak, Discard}, f) }

// Remaining is the share of dye that has not reacted with water, and the time in
// which half of it does, each with its range: a model.
type Remaining struct {
	Share, Low, High                            unit.Share
	HalfLife, ShortestHalfLife, LongestHalfLife unit.Duration
}

// Remaining gives what is left of m, with the range over the ends of the activation
// energy, the order in hydroxide and BottlePH. It returns nil where the model does
// not hold: without soda ash, for a class without rates, and outside 0–60 °C.
func (m MixedDye) Remaining() *Remaining {
	k, ok := model(m.Class)
	if !ok || !m.Alkali || !(m.At >= 0 && m.At <= 60) {
		return nil
	}
	at := func(ph, energy, order float64) (unit.Share, unit.Duration) {
		rate := k.rate(m.At, unit.PH(ph), energy, order)
		return unit.Share(math.Exp(-rate * float64(m.Age))), unit.Duration(math.Ln2 / rate)
	}
	var r Remaining
	r.Share, r.HalfLife = at(BottlePH.Value, k.Energy.Value, order.Value)
	r.Low, r.High, r.ShortestHalfLife, r.LongestHalfLife = r.Share, r.Share, r.HalfLife, r.HalfLife
	for _, ph := range []float64{BottlePH.Low, BottlePH.High} {
		for _, e := range []float64{k.Energy.Low, k.Energy.High} {
			for _, n := range []float64{order.Low, order.High} {
				left, half := at(ph, e, n)
				r.Low, r.High = min(r.Low, left), max(r.High, left)
				r.ShortestHalfLife, r.LongestHalfLife = min(r.ShortestHalfLife, half), max(r.LongestHalfLife, half)
			}
		}
	}
	return &r
}

// KeepConstants gives every constant that the keeping of mixed dye rests on.
func KeepConstants() []fault.Value {
	return []fault.Value{SodaUse, SodaLast, PlainGood, PlainUse, PlainLast, KeepEnergy, UsualAt, GoodLeft, UseSoonLeft, WeakLeft, BottlePH,
		dichlorotriazine.Anchor, dichlorotriazine.Energy, monochlorotriazine.Anchor, monochlorotriazine.Energy,
		anchorCelsius, anchorPH, order, gas, ice, alkali.IonProduct}
}
