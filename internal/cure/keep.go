package cure

import (
	"math"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Mixed is dye that was made up in water some time ago.
type Mixed struct {
	Class  dye.Class
	Alkali bool // soda ash is in it too
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

// What practice says of mixed dye. Water alone attacks it slowly, and the model of
// chemistry.go does not say how slowly: carried on from pH 10 to pH 7 at 21 °C,
// its half-life is 690 days with an order of 1 in hydroxide and 6 days with 0.5,
// both within what the rates in print allow. So there is no figure without soda
// ash, only practice. With soda ash the rates were measured near by.
var (
	SodaUse  = fault.Value{Name: "with soda ash, use within", Value: 3600, Unit: "s", Source: fault.CommonPractice}
	SodaLast = fault.Value{Name: "with soda ash, discard at", Value: 4 * 3600, Unit: "s", Source: fault.CommonPractice}

	days = fault.Source{Kind: fault.Practice, Text: "common practice and memory, 3–7 days at room temperature, no source; twice that is judgement"}

	PlainGood = fault.Value{Name: "without soda ash, good for", Value: 3, Unit: "days", Source: days}
	PlainUse  = fault.Value{Name: "without soda ash, use within", Value: 7, Unit: "days", Source: days}
	PlainLast = fault.Value{Name: "without soda ash, discard at", Value: 14, Unit: "days", Source: days}
	// PlainWarm is the temperature above which that practice does not speak.
	PlainWarm = fault.Value{Name: "room temperature ends at", Value: 25, Unit: "°C", Source: fault.CommonPractice}

	// BottlePH is the pH of dye with soda ash in it.
	BottlePH = fault.Value{Name: "pH of dye with soda ash in it", Value: 11.2, Unit: "1", Low: 11, High: 11.5,
		Source: fault.Source{Kind: fault.Practice, Text: "judgement: soda ash of which a few hundredths are spent, by the alkali reserve computed with USGS PHREEQC 3"}}
	// StaysNeutral is what was measured of one class without soda ash.
	StaysNeutral = fault.Source{Kind: fault.Published,
		Text: "Djordjevic, Cerkovnik, Gorensek, kinetics of hydrolysis of some reactive dyes before and after purification, 2006, abstract: monochlorotriazine at pH 7 unchanged after 24 h at 20 °C"}
)

// Freshness tells how good m still is, by practice. Above 21 °C the hours with
// soda ash shrink as a cure's do; below they stay. Without soda ash nothing is
// called good above room temperature.
func (m Mixed) Freshness() Freshness {
	if m.Alkali {
		age := float64(m.Age) * max(1, arrhenius(Energy.Value, float64(m.At), UsualAt.Value))
		switch {
		case age >= SodaLast.Value:
			return Discard
		case age > SodaUse.Value:
			return Weak
		}
		return UseSoon
	}
	switch age := float64(m.Age) / 86400; {
	case age >= PlainLast.Value:
		return Discard
	case age > PlainUse.Value:
		return Weak
	case age > PlainGood.Value || float64(m.At) > PlainWarm.Value:
		return UseSoon
	}
	return Good
}

// Remains is the share of dye that has not reacted with water, and the time in
// which half of it does, each with its range: a model.
type Remains struct {
	Left, Low, High     unit.Share
	Half, Fastest, Slow unit.Duration
}

// Remains gives what is left of m, over the ends of the activation energy, the
// order in hydroxide and BottlePH. It is nil where the model does not speak:
// without soda ash, for a class without rates, and outside 0–60 °C.
func (m Mixed) Remains() *Remains {
	k, ok := model(m.Class)
	if !ok || !m.Alkali || !(m.At >= 0 && m.At <= 60) {
		return nil
	}
	at := func(ph, energy, order float64) (unit.Share, unit.Duration) {
		rate := k.rate(m.At, unit.PH(ph), energy, order)
		return unit.Share(math.Exp(-rate * float64(m.Age))), unit.Duration(math.Ln2 / rate)
	}
	var r Remains
	r.Left, r.Half = at(BottlePH.Value, k.Energy.Value, order.Value)
	r.Low, r.High, r.Fastest, r.Slow = r.Left, r.Left, r.Half, r.Half
	for _, ph := range []float64{BottlePH.Low, BottlePH.High} {
		for _, e := range []float64{k.Energy.Low, k.Energy.High} {
			for _, n := range []float64{order.Low, order.High} {
				left, half := at(ph, e, n)
				r.Low, r.High = min(r.Low, left), max(r.High, left)
				r.Fastest, r.Slow = min(r.Fastest, half), max(r.Slow, half)
			}
		}
	}
	return &r
}

// KeepConstants gives every constant that the keeping of mixed dye rests on.
func KeepConstants() []fault.Value {
	return []fault.Value{SodaUse, SodaLast, PlainGood, PlainUse, PlainLast, PlainWarm, BottlePH, Energy, UsualAt,
		dichlorotriazine.Anchor, dichlorotriazine.Energy, monochlorotriazine.Anchor, monochlorotriazine.Energy,
		anchorCelsius, anchorPH, order, gas, ice, alkali.IonProduct}
}
