package dye

import (
	"fmt"
	"math"

	"coldbatch/internal/unit"
)

// Step names what to do next with a weighing.
type Step string

// The steps that Advise gives.
const (
	Weigh     Step = "weigh"       // nothing is weighed yet and the scale will do
	ByStock   Step = "by-stock"    // the scale is too coarse: weigh a stock, measure by syringe
	BiggerJug Step = "bigger-jug"  // the scale is too coarse and a stock too weak: mix more
	UseIt     Step = "use-it"      // the weighing is good enough
	MakeUp    Step = "make-up"     // too much powder: make up to more
	FillAndGo Step = "bottle-full" // too much powder, more than the bottles have room for
	TopUp     Step = "top-up"      // too little powder: weigh the rest, or take it paler
)

// StepInfo is a step with a few words.
type StepInfo struct {
	Step  Step   `json:"step"`
	Words string `json:"words"`
}

// Steps lists every step.
func Steps() []StepInfo {
	return []StepInfo{
		{Weigh, "weigh it"},
		{ByStock, "weigh a stock and measure by syringe"},
		{BiggerJug, "mix a bigger jug"},
		{UseIt, "use it as it is"},
		{MakeUp, "make up to more"},
		{FillAndGo, "make up to what the bottles take"},
		{TopUp, "add the rest, or take it paler"},
	}
}

// Advice is what to do, as a step with the amounts it needs and one sentence.
type Advice struct {
	Step     Step
	Sentence string
	MakeUpTo unit.Volume // the volume to make up to; 0 where it stays
	Rest     unit.Mass   // the powder that is missing; 0 where none is
	Syringe  unit.Volume // of the stock; 0 where none is made
}

// Advise says what to do: with nothing weighed, how to weigh; with a weighing,
// what to make of it. holds is what one bottle takes when full, 0 where it is not
// known; division is the smallest step of the scale; weighed is nil where nothing was
// weighed. Where the scale is too coarse for the powder, the advice is which scale or
// which stock can do it, and powder weighed for a stock is used for one: it is not
// judged as powder for the jug. No advice ever puts powder into a bottle or back into
// the jar.
func (m Mix) Advise(holds unit.Volume, division unit.Mass, weighed *unit.Mass, style unit.Style) Advice {
	if weighed == nil {
		return m.before(division, style)
	}
	if coarse(ScaleError(m.Total(), division)) {
		switch e := ScaleError(*weighed, division); {
		case coarse(e):
			a := m.before(division, style)
			a.Sentence = fmt.Sprintf("what was weighed may be off by %s, too much to go by; %s; what is weighed already counts towards the %s",
				share(float64(e), style), a.Sentence, mass(stockMass(division), style))
			return a
		case *weighed > 2*m.Total(): // meant for a stock
			return m.diluted(*weighed, division, mass(*weighed, style)+" is more than a jug needs: ", "", style)
		}
	}
	middle, _, _ := m.Deviation(*weighed, division)
	// Rounded first, so that the last bits of a build never decide.
	off := math.Round(float64(middle)*1e6) / 1e6
	switch {
	case math.Abs(off) <= Good.Value:
		s := fmt.Sprintf("within %s of what is wanted: use it, made up to %s", share(Good.Value, style), volume(m.Jug(), style))
		if e := float64(ScaleError(*weighed, division)); e > Good.Value {
			s += fmt.Sprintf("; that is as far as this scale can tell, give or take %s", share(e, style))
		}
		return Advice{Step: UseIt, Sentence: s}
	case off > 0:
		return m.over(*weighed, off, holds, division, style)
	}
	return m.under(*weighed, off, division, style)
}

// coarse reports whether a weighing with the error e is not worth making. It is
// rounded first, as in Advise.
func coarse(e unit.Share) bool { return math.Round(float64(e)*1e6)/1e6 > Coarse.Value }

// stockMass is the powder that is weighed for a stock or a bigger jug: twenty
// divisions, good to 5 %.
func stockMass(division unit.Mass) unit.Mass { return unit.Mass(float64(division) / Good.Value) }

// before is the advice while nothing has been weighed.
func (m Mix) before(division unit.Mass, style unit.Style) Advice {
	total := m.Total()
	if e := ScaleError(total, division); !coarse(e) {
		a := Advice{Step: Weigh}
		grams, to := m.onScale(division, style)
		a.Sentence = fmt.Sprintf("weigh %s into a jug, wet it with a little water to a smooth paste, and make up to %s", mass(grams, style), volume(to, style))
		if to != m.Jug() {
			a.MakeUpTo = to
		}
		if wanted := volume(m.Jug(), style); wanted != volume(to, style) {
			a.Sentence += fmt.Sprintf("; %s is wanted, the rest is spare", wanted)
		}
		if float64(e) > Good.Value {
			a.Sentence += fmt.Sprintf("; the scale alone may put it off by %s", share(float64(e), style))
		}
		return a
	}
	lead := fmt.Sprintf("%s is too little for a scale with steps of %s: ", mass(total, style), mass(division, style))
	if finer := finerScale(total, division); finer > 0 {
		lead += fmt.Sprintf("a scale with steps of %s weighs it to %s; or ", mass(finer, style), share(float64(ScaleError(total, finer)), style))
	}
	return m.diluted(stockMass(division), division, lead, "weigh "+mass(stockMass(division), style)+", ", style)
}

// finerScale gives the coarsest usual scale that is fine enough for a mass, 0 where
// there is none.
func finerScale(m, division unit.Mass) unit.Mass {
	for _, finer := range []unit.Mass{1, 0.1, 0.01, 0.001} {
		if finer < division && !coarse(ScaleError(m, finer)) {
			return finer
		}
	}
	return 0
}

// diluted is the advice to weigh more powder than the jug needs: for a stock that is
// measured by syringe, or where that is too weak for a bigger jug. It states the error
// of what comes of it. lead begins the sentence, and weigh says to
// weigh the powder where that is not done yet.
func (m Mix) diluted(powder, division unit.Mass, lead, weigh string, style unit.Style) Advice {
	total := m.Total()
	byScale := float64(ScaleError(powder, division))
	if float64(m.Made()) > Stock.Value {
		to := unit.Volume(float64(powder) / float64(m.Made()) * 1000)
		return Advice{Step: BiggerJug, MakeUpTo: to, Sentence: fmt.Sprintf(
			"%smix a bigger jug, %s made up to %s, and take %s from it; that is good to %s",
			lead, mass(powder, style), volume(to, style), volume(m.Jug(), style), share(byScale, style))}
	}
	stock := unit.Volume(float64(powder) / Stock.Value * 1000)
	take := unit.Volume(float64(total) / Stock.Value * 1000)
	bySyringe := SyringeError.Value / float64(take)
	return Advice{Step: ByStock, MakeUpTo: m.Jug(), Syringe: take, Sentence: fmt.Sprintf(
		"%s%smake it up to %s in a jug, take %s of that with a syringe, and make up to %s; that is good to %s, %s of it by the scale and %s by the syringe; keep the rest of the jug for the next bottles",
		lead, weigh, volume(stock, style), volume(take, style), volume(m.Jug(), style),
		share(byScale+bySyringe, style), share(byScale, style), share(bySyringe, style))}
}

// onScale gives the powder for the jug as a scale of that division can show it,
// and the volume that it is made up to at the same strength: rounded up, so that
// the jug holds no less than is wanted. Both stay where what is told is a weight
// that the scale can show.
func (m Mix) onScale(division unit.Mass, style unit.Style) (unit.Mass, unit.Volume) {
	total := m.Total()
	if division <= 0 || total <= 0 {
		return total, m.Jug()
	}
	up := unit.Mass(math.Ceil(float64(total/division)-1e-9) * float64(division))
	shown := unit.Round(unit.KindMass, float64(total)) / float64(division)
	if math.Abs(shown-math.Round(shown)) < 1e-6 || mass(up, style) == mass(total, style) {
		return total, m.Jug()
	}
	return up, unit.Volume(float64(m.Jug()) * float64(up/total))
}

// giveOrTake is how far a strength made with what was weighed can be told.
func giveOrTake(weighed, division unit.Mass, style unit.Style) string {
	e := ScaleError(weighed, division)
	if e <= 0 {
		return ""
	}
	return ", give or take " + share(float64(e), style)
}

// over is the advice for too much powder.
func (m Mix) over(weighed unit.Mass, off float64, holds unit.Volume, division unit.Mass, style unit.Style) Advice {
	about := giveOrTake(weighed, division, style)
	to := unit.Volume(float64(m.Jug()) * (1 + off))
	a := Advice{Step: MakeUp, MakeUpTo: to, Sentence: fmt.Sprintf(
		"%s too much: make it up to %s in a jug instead of %s; the strength is then right%s", share(off, style), volume(to, style), volume(m.Jug(), style), about)}
	if holds <= 0 {
		a.Sentence += fmt.Sprintf("; each bottle gets %s if it takes that", volume(m.Bottle*unit.Volume(1+off), style))
		return a
	}
	room := unit.Volume(float64(holds) * Fill.Value * float64(m.Count))
	if to <= room {
		return a
	}
	room = max(room, m.Jug())
	left := float64(m.Jug())*(1+off)/float64(room) - 1
	return Advice{Step: FillAndGo, MakeUpTo: room, Sentence: fmt.Sprintf(
		"%s too much, and the bottles take only %s together: make up to that and it is %s stronger than wanted%s, or make up to %s in a jug and fill the rest into another bottle",
		share(off, style), volume(room, style), share(left, style), about, volume(to, style))}
}

// under is the advice for too little powder.
func (m Mix) under(weighed unit.Mass, off float64, division unit.Mass, style unit.Style) Advice {
	rest := m.Total() - weighed
	about := giveOrTake(weighed, division, style)
	a := Advice{Step: TopUp, Rest: rest}
	if float64(ScaleError(rest, division)) > 0.5 {
		a.Sentence = fmt.Sprintf("%s too little, and the %s that is missing is less than this scale can weigh: use it and the colour is that much paler%s, or make up to %s only",
			share(-off, style), mass(rest, style), about, volume(unit.Volume(float64(m.Jug())*(1+off)), style))
		return a
	}
	if division > 0 { // as the scale can show it
		rest = unit.Mass(math.Round(float64(rest/division)) * float64(division))
	}
	a.Sentence = fmt.Sprintf("%s too little: use it and the colour is that much paler%s, or weigh another %s, dissolve it in a spoon of water first and stir that in",
		share(-off, style), about, mass(rest, style))
	return a
}

func share(v float64, s unit.Style) string      { return unit.Show(unit.KindShare, v, s) }
func mass(m unit.Mass, s unit.Style) string     { return unit.Show(unit.KindMass, float64(m), s) }
func volume(v unit.Volume, s unit.Style) string { return unit.Show(unit.KindVolume, float64(v), s) }
