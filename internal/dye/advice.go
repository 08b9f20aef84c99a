package dye

import (
	"fmt"
	"math"

	"coldbatch/internal/unit"
)

// AdviceStep names what to do next with a weighing.
type AdviceStep string

// The steps that Advise returns.
const (
	StepWeigh       AdviceStep = "weigh"       // nothing is weighed yet and the scale will do
	StepByStock     AdviceStep = "by-stock"    // the scale is too coarse: weigh a stock, measure by syringe
	StepBiggerJug   AdviceStep = "bigger-jug"  // the scale is too coarse and a stock too weak: mix more
	StepUseIt       AdviceStep = "use-it"      // the weighing is accurate enough
	StepMakeUp      AdviceStep = "make-up"     // too much powder: make up to a larger volume
	StepFillBottles AdviceStep = "bottle-full" // too much powder, and the bottles are too small for it
	StepTopUp       AdviceStep = "top-up"      // too little powder: weigh the rest, or accept a paler colour
)

// StepInfo is a step with a few words.
type StepInfo struct {
	Step  AdviceStep `json:"step"`
	Words string     `json:"words"`
}

// AdviceSteps lists every step.
func AdviceSteps() []StepInfo {
	return []StepInfo{
		{StepWeigh, "weigh it"},
		{StepByStock, "weigh a stock and measure by syringe"},
		{StepBiggerJug, "mix a bigger jug"},
		{StepUseIt, "use it as it is"},
		{StepMakeUp, "make up to a larger volume"},
		{StepFillBottles, "make up enough to fill the bottles"},
		{StepTopUp, "add the rest, or accept a paler colour"},
	}
}

// Advice is the next step, with its amounts and one sentence.
type Advice struct {
	Step      AdviceStep
	Sentence  string
	MakeUpTo  unit.Volume // the volume to make up to; 0 where it stays
	AddPowder unit.Mass   // the powder that is missing; 0 where none is
	Syringe   unit.Volume // of the stock; 0 where none is made
}

// Advise returns the next step: how to weigh where weighed is nil, else what to do with
// the powder that was weighed. holds is what one bottle takes when full, 0 where that is
// unknown; division is the smallest step of the scale. Where the scale is too coarse for
// the powder, the advice names a scale or a stock that will do; powder weighed for a
// stock is used for one and is not compared with what the jug needs. No advice puts
// powder into a bottle or back into the jar.
func (m BottleMix) Advise(holds unit.Volume, division unit.Mass, weighed *unit.Mass, style unit.Style) Advice {
	if weighed == nil {
		return m.adviseUnweighed(division, style)
	}
	if isTooCoarse(ScaleError(m.TotalPowder(), division)) {
		switch e := ScaleError(*weighed, division); {
		case isTooCoarse(e):
			a := m.adviseUnweighed(division, style)
			a.Sentence = fmt.Sprintf("what was weighed may be off by %s, too much to rely on; %s; the powder already weighed counts towards the %s",
				shareText(float64(e), style), a.Sentence, massText(stockMass(division), style))
			return a
		case *weighed > 2*m.TotalPowder(): // meant for a stock
			return m.adviseDiluted(*weighed, division, massText(*weighed, style)+" is more than a jug needs: ", "", style)
		}
	}
	middle, _, _ := m.Deviation(*weighed, division)
	// Rounded first, since the last bits differ between builds and must not decide.
	off := math.Round(float64(middle)*1e6) / 1e6
	switch {
	case math.Abs(off) <= MaxGoodError.Value:
		s := fmt.Sprintf("within %s of what is wanted: use it, made up to %s", shareText(MaxGoodError.Value, style), volumeText(m.JugVolume(), style))
		if e := ScaleError(*weighed, division); float64(e) > MaxGoodError.Value {
			s += fmt.Sprintf("; that is as far as this scale can tell, give or take %s", shareText(float64(e), style))
		}
		return Advice{Step: StepUseIt, Sentence: s}
	case off > 0:
		return m.adviseTooMuch(*weighed, off, holds, division, style)
	}
	return m.adviseTooLittle(*weighed, off, division, style)
}

// isTooCoarse reports whether a weighing with the error e is too coarse. The error is
// rounded first, as in Advise.
func isTooCoarse(e unit.Share) bool { return math.Round(float64(e)*1e6)/1e6 > MaxAcceptableError.Value }

// stockMass is the powder to weigh for a stock or a bigger jug: twenty steps of the
// scale, which is accurate to 5 %.
func stockMass(division unit.Mass) unit.Mass {
	return unit.Mass(float64(division) / MaxGoodError.Value)
}

// adviseUnweighed is the advice while nothing has been weighed.
func (m BottleMix) adviseUnweighed(division unit.Mass, style unit.Style) Advice {
	total := m.TotalPowder()
	if e := ScaleError(total, division); !isTooCoarse(e) {
		a := Advice{Step: StepWeigh}
		grams, to := m.roundToScale(division, style)
		a.Sentence = fmt.Sprintf("weigh %s into a jug, wet it with a little water to a smooth paste, and make up to %s", massText(grams, style), volumeText(to, style))
		if to != m.JugVolume() {
			a.MakeUpTo = to
		}
		if wanted := volumeText(m.JugVolume(), style); wanted != volumeText(to, style) {
			a.Sentence += fmt.Sprintf("; %s is wanted, the rest is spare", wanted)
		}
		if float64(e) > MaxGoodError.Value {
			a.Sentence += fmt.Sprintf("; the scale alone may put it off by %s", shareText(float64(e), style))
		}
		return a
	}
	lead := fmt.Sprintf("%s is too little for a scale with steps of %s: ", massText(total, style), massText(division, style))
	if finer := finerScale(total, division); finer > 0 {
		lead += fmt.Sprintf("a scale with steps of %s weighs it to %s; or ", massText(finer, style), shareText(float64(ScaleError(total, finer)), style))
	}
	return m.adviseDiluted(stockMass(division), division, lead, "weigh "+massText(stockMass(division), style)+", ", style)
}

// finerScale returns the step of the coarsest usual scale that is fine enough for a mass,
// 0 where there is none.
func finerScale(m, division unit.Mass) unit.Mass {
	for _, finer := range []unit.Mass{1, 0.1, 0.01, 0.001} {
		if finer < division && !isTooCoarse(ScaleError(m, finer)) {
			return finer
		}
	}
	return 0
}

// adviseDiluted is the advice to weigh more powder than the jug needs: for a stock that is
// measured by syringe or, where a stock would be too weak, for a bigger jug. It states the
// error of the result. lead begins the sentence; weigh asks to weigh the powder, and is
// empty where that is done.
func (m BottleMix) adviseDiluted(powder, division unit.Mass, lead, weigh string, style unit.Style) Advice {
	total := m.TotalPowder()
	byScale := float64(ScaleError(powder, division))
	if float64(m.MadeUpStrength()) > StockStrength.Value {
		to := unit.Volume(float64(powder) / float64(m.MadeUpStrength()) * 1000)
		return Advice{Step: StepBiggerJug, MakeUpTo: to, Sentence: fmt.Sprintf(
			"%smix a bigger jug, %s made up to %s, and take %s from it; that is good to %s",
			lead, massText(powder, style), volumeText(to, style), volumeText(m.JugVolume(), style), shareText(byScale, style))}
	}
	stock := unit.Volume(float64(powder) / StockStrength.Value * 1000)
	take := unit.Volume(float64(total) / StockStrength.Value * 1000)
	bySyringe := SyringeError.Value / float64(take)
	return Advice{Step: StepByStock, MakeUpTo: m.JugVolume(), Syringe: take, Sentence: fmt.Sprintf(
		"%s%smake it up to %s in a jug, take %s of that with a syringe, and make up to %s; that is good to %s, %s of it by the scale and %s by the syringe; keep the rest of the jug for the next bottles",
		lead, weigh, volumeText(stock, style), volumeText(take, style), volumeText(m.JugVolume(), style),
		shareText(byScale+bySyringe, style), shareText(byScale, style), shareText(bySyringe, style))}
}

// roundToScale rounds the powder for the jug up to a step of the scale, and returns the
// volume that gives the same strength, so that the jug holds no less than wanted. Both
// stay unchanged where the printed weight is already a step of the scale.
func (m BottleMix) roundToScale(division unit.Mass, style unit.Style) (unit.Mass, unit.Volume) {
	total := m.TotalPowder()
	if division <= 0 || total <= 0 {
		return total, m.JugVolume()
	}
	up := unit.Mass(math.Ceil(float64(total/division)-1e-9) * float64(division))
	shown := unit.Round(unit.KindMass, float64(total)) / float64(division)
	if math.Abs(shown-math.Round(shown)) < 1e-6 || massText(up, style) == massText(total, style) {
		return total, m.JugVolume()
	}
	return up, unit.Volume(float64(m.JugVolume()) * float64(up/total))
}

// errorText prints the error of a strength made with the powder weighed, "" where it has
// none.
func errorText(weighed, division unit.Mass, style unit.Style) string {
	e := ScaleError(weighed, division)
	if e <= 0 {
		return ""
	}
	return ", give or take " + shareText(float64(e), style)
}

// adviseTooMuch is the advice for too much powder.
func (m BottleMix) adviseTooMuch(weighed unit.Mass, off float64, holds unit.Volume, division unit.Mass, style unit.Style) Advice {
	about := errorText(weighed, division, style)
	to := unit.Volume(float64(m.JugVolume()) * (1 + off))
	a := Advice{Step: StepMakeUp, MakeUpTo: to, Sentence: fmt.Sprintf(
		"%s too much: make it up to %s in a jug instead of %s; the strength is then right%s", shareText(off, style), volumeText(to, style), volumeText(m.JugVolume(), style), about)}
	if holds <= 0 {
		a.Sentence += fmt.Sprintf("; each bottle gets %s if it takes that", volumeText(m.BottleVolume*unit.Volume(1+off), style))
		return a
	}
	room := unit.Volume(float64(holds) * BottleFillShare.Value * float64(m.BottleCount))
	if to <= room {
		return a
	}
	room = max(room, m.JugVolume())
	left := float64(m.JugVolume())*(1+off)/float64(room) - 1
	return Advice{Step: StepFillBottles, MakeUpTo: room, Sentence: fmt.Sprintf(
		"%s too much, and the bottles take only %s together: make up to that and it is %s stronger than wanted%s, or make up to %s in a jug and fill the rest into another bottle",
		shareText(off, style), volumeText(room, style), shareText(left, style), about, volumeText(to, style))}
}

// adviseTooLittle is the advice for too little powder.
func (m BottleMix) adviseTooLittle(weighed unit.Mass, off float64, division unit.Mass, style unit.Style) Advice {
	rest := m.TotalPowder() - weighed
	about := errorText(weighed, division, style)
	a := Advice{Step: StepTopUp, AddPowder: rest}
	if float64(ScaleError(rest, division)) > 0.5 {
		a.Sentence = fmt.Sprintf("%s too little, and the %s that is missing is less than this scale can weigh: use it and the colour is that much paler%s, or make up to %s only",
			shareText(-off, style), massText(rest, style), about, volumeText(unit.Volume(float64(m.JugVolume())*(1+off)), style))
		return a
	}
	if division > 0 { // to a step of the scale
		rest = unit.Mass(math.Round(float64(rest/division)) * float64(division))
	}
	a.Sentence = fmt.Sprintf("%s too little: use it and the colour is that much paler%s, or weigh another %s, dissolve it in a spoon of water first and stir that in",
		shareText(-off, style), about, massText(rest, style))
	return a
}

func shareText(v float64, s unit.Style) string      { return unit.ShowError(unit.Share(v), s) }
func massText(m unit.Mass, s unit.Style) string     { return unit.Show(unit.KindMass, float64(m), s) }
func volumeText(v unit.Volume, s unit.Style) string { return unit.Show(unit.KindVolume, float64(v), s) }
