package batchview

import (
	"math"

	"coldbatch/internal/alkali"
	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/provenance"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

func judgementSource(text string) provenance.Source {
	return provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: " + text}
}

// The plan's own figures.
var (
	// SoakRatio is the soak planned for goods, and MinSoak the smallest.
	SoakRatio = provenance.Value{Name: "soak for dry goods", Value: 3, Unit: "L/kg", Low: 2, High: 10, Source: judgementSource("pieces can move, and a good part of the bath is left")}
	MinSoak   = provenance.Value{Name: "smallest soak", Value: 2, Unit: "L", Source: judgementSource("covers one piece in a bucket")}
)

// soakWater returns the water planned for grams of dry goods in mL, rounded up to half a
// litre.
func soakWater(grams float64) float64 {
	litres := max(MinSoak.Value, grams/1000*SoakRatio.Value)
	return math.Ceil(litres*2) / 2 * 1000
}

// viewSoak returns the sums for the soak, or the bath in use.
func viewSoak(s batch.State, e ViewEnv) SoakView {
	v := SoakView{Stage: "plan", Notes: []string{}, Lots: []LotView{}, Cautions: append(clothCautions(s, nil), alkali.EyesCaution, alkali.DrainCaution),
		Sources: []provenance.Source{soak.UsualStrength.Source, SoakRatio.Source}}
	grams, _ := dryWeight(s)
	bath := soak.Bath{Volume: unit.Volume(soakWater(grams)), Strength: unit.Concentration(soak.UsualStrength.Value)}
	celsius, form := 25.0, alkali.Anhydrous
	soda := float64(bath.Soda())
	in, used := bathInUse(s)
	if used {
		v.ID, v.Stage = in.ID, "mixed"
		if in.Form != "" {
			form = alkali.Form(in.Form)
		}
		if in.Celsius != nil {
			celsius = *in.Celsius
		}
		soda = in.SodaGrams
		anhydrous := form.AnhydrousIn(unit.Mass(in.SodaGrams))
		bath = soak.Bath{Volume: unit.Volume(in.WaterML), Strength: unit.GramsPerLitre(anhydrous, unit.Volume(in.WaterML))}
		switch {
		case len(in.LotsInBath()) > 0:
			v.Stage = "soaking"
		case in.EndedAt != 0:
			v.Stage = "done"
		}
		v.setChecks(s, in, bath, celsius, e)
	}
	v.WaterML, v.SodaG = float64(bath.Volume), soda
	v.Water, v.Soda = e.formatBoth(unit.KindVolume, v.WaterML), e.formatBoth(unit.KindMass, soda)
	ph, beyond := alkali.PH(bath.Strength, unit.Temperature(celsius), 0)
	number, _ := unit.FormatSplit(unit.KindPH, float64(ph), e.Style)
	v.PH = "about " + number + " at " + e.formatTemperature(celsius)
	if beyond {
		v.PH += ", extrapolated"
	}
	v.Minutes = unit.Show(unit.KindDuration, soak.UsualTime.Value, e.Style) + ", already tied " +
		unit.ShowRange(unit.KindDuration, soak.UsualTimeTied.Low, soak.UsualTimeTied.High, e.Style)
	v.setServes(bath, grams, e)
	v.noteDissolving(bath, celsius, e)
	v.Text = map[string]string{"plan": v.Soda + " of soda ash in " + v.Water,
		"mixed": v.Soda + " in " + v.Water + ", mixed " + e.formatTime(in.MixedAt), "soaking": "in the soak since " + e.formatTime(in.BegunAt),
		"done": "soaked until " + e.formatTime(in.EndedAt)}[v.Stage]
	if in.PH != 0 {
		v.Notes = append(v.Notes, "measured "+unit.Show(unit.KindPH, in.PH, e.Style)+" by "+in.MeasuredWith)
	}
	return v
}

// setChecks sets what was seen and measured in the bath, and what is in it.
func (v *SoakView) setChecks(s batch.State, in batch.Soak, bath soak.Bath, celsius float64, e ViewEnv) {
	if in.IsClear != nil {
		v.Dissolved = yesOrNo(*in.IsClear, "clear", "cloudy")
	}
	if in.PH != 0 {
		v.Verdict, v.IsBad = phVerdict(soak.Check(bath.Strength, unit.Temperature(celsius), unit.PH(in.PH), soak.Instrument(in.MeasuredWith)).Verdict)
	}
	for _, l := range in.LotsInBath() {
		v.Lots = append(v.Lots, LotView{Text: soakLotWords(s, l, e) + ", since " + e.formatTime(l.InAt), InAt: l.InAt, WetThroughAt: l.InAt.Add(soakTime(s, l))})
	}
}

// phVerdict says what a measured pH means, and whether it is a warning.
func phVerdict(v soak.Verdict) (string, bool) {
	switch v {
	case soak.VerdictFresh:
		return "as a fresh bath of soda ash should be", false
	case soak.VerdictWeakening:
		return "weakening: still good, top it up soon", false
	case soak.VerdictSpent:
		return "spent: mix a fresh bath, or the dye will not bond", true
	case soak.VerdictWrongPowder:
		return "too low for soda ash: perhaps this is baking soda", true
	case soak.VerdictTooAlkaline:
		return "too high for soda ash: it may be caustic soda. do not touch it or use it", true
	}
	return "a strip cannot tell: it is soda ash, but perhaps weakening", false
}

// noteDissolving adds a note if not all soda ash dissolves easily.
func (v *SoakView) noteDissolving(bath soak.Bath, celsius float64, e ViewEnv) {
	t := unit.Temperature(celsius)
	how, limit := soak.CheckSolubility(bath.Strength, t)
	at := " at " + e.formatTemperature(celsius)
	note := ""
	switch {
	case how == soak.DissolvesNot:
		note = "not all of the soda ash dissolves" + at + ": the limit is about " + e.formatStrength(float64(limit))
	case how == soak.DissolvesSlowly:
		note = "that much soda ash dissolves slowly" + at
	default:
		return
	}
	if alkali.IsMoreSolubleWarmer(t) {
		note += "; use warmer water"
	} else {
		note += "; use more water"
	}
	v.Notes = append(v.Notes, note)
}

// setServes sets how much dry cloth the bath is enough for, as a range over how much bath
// wrung cloth holds, and notes how much to add if that is too little.
func (v *SoakView) setServes(bath soak.Bath, grams float64, e ViewEnv) {
	least := unit.Volume(float64(bath.Volume) * soak.MinRemaining.Value)
	g := soak.Goods{DryMass: unit.Mass(grams), Pickup: unit.Share(goods.HeldAfterWringing.Value)}
	driest, wettest := g, g
	driest.Pickup, wettest.Pickup = unit.Share(goods.HeldAfterWringing.Low), unit.Share(goods.HeldAfterWringing.High)
	v.ServesText = unit.ShowRange(unit.KindMass, float64(bath.Serves(wettest, least)), float64(bath.Serves(driest, least)), e.Style) + " of dry goods"
	if more := bath.TopUp(g, least); more > 0 {
		v.Notes = append(v.Notes, "keep "+e.formatVolume(float64(more))+" more of the same strength ready to top it up")
	}
}

// bathInUse returns the last bath that was not poured away.
func bathInUse(s batch.State) (batch.Soak, bool) {
	for i := len(s.Soaks) - 1; i >= 0; i-- {
		if !s.Soaks[i].IsDiscarded && !s.Soaks[i].NeedsNewerApp {
			return s.Soaks[i], true
		}
	}
	return batch.Soak{}, false
}

// viewJug returns the sums for a colour's jug or, once it is mixed, what was mixed.
func viewJug(s batch.State, c batch.Colour, e ViewEnv) JugView {
	v := JugView{Colour: viewColour(c), Notes: []string{}, Cautions: []provenance.Caution{dye.DustCaution, dye.NoPowderBackCaution, dye.NotFoodCaution}}
	v.Colour.Strength = e.formatStrength(c.Strength)
	planned := plan.JugOf(s, c, e.Kit)
	mix, scaleStep := planned.Mix(), unit.Mass(plan.ScaleStepOf(e.Kit))
	v.PowderG, v.VolumeML = float64(planned.Powder), float64(planned.Volume)
	v.Bottles, v.BottleCount, v.FillML = e.bottleWords(planned), planned.Bottles, float64(planned.Fill)
	v.Powder, v.Volume = e.formatMass(v.PowderG), e.formatVolume(v.VolumeML)
	v.VolumeInOtherUnits = unit.ShowInOther(unit.KindVolume, v.VolumeML, e.Style)
	v.ScaleNote = mix.Advise(0, scaleStep, nil, e.Style).Sentence
	if c.NeedsNewerApp {
		return JugView{Colour: v.Colour, Notes: []string{"this colour was changed by a newer version: update the app"}, Cautions: []provenance.Caution{}}
	}
	info := dye.Class(c.Class).Info()
	if dye.Class(c.Class) != dye.Dichlorotriazine {
		v.Notes = append(v.Notes, info.Words+": "+info.Advice)
	}
	for i := len(s.Jugs) - 1; i >= 0; i-- {
		j := s.Jugs[i]
		if j.Colour != c.ID || j.IsDiscarded || j.NeedsNewerApp {
			continue
		}
		v.ID, v.IsMixed = j.ID, true
		v.MixedPowder, v.MixedVolume, v.OffText = e.formatMass(j.PowderGrams), e.formatVolume(j.VolumeML), jugOff(c, j)
		v.MixedText = e.formatMass(j.PowderGrams) + " made up to " + e.formatVolume(j.VolumeML) + ", " + e.formatTime(j.MixedAt)
		v.setLeft(c, j, e)
		made := mix
		made.BottleVolume = unit.Volume(j.VolumeML)
		weighed := unit.Mass(j.PowderGrams)
		v.Advice = made.Advise(0, scaleStep, &weighed, e.Style).Sentence
		if j.ActivatedAt != 0 {
			v.Notes = append(v.Notes, "soda ash is in it since "+e.formatTime(j.ActivatedAt)+": use it within the hour")
		}
		break
	}
	return v
}

// usualKeepingCelsius is the temperature at which jugs are assumed to be kept (judgement: indoors).
const usualKeepingCelsius = 21

// freshWords say what the age of mixed dye means, where it means anything.
var freshWords = map[cure.DyeFreshness]string{cure.FreshnessUseSoon: ": use it soon", cure.FreshnessWeak: ": weaker by now, try it on a scrap",
	cure.FreshnessDiscard: ": too old, mix a new one"}

// setLeft says how much of a jug is left, what was filled from it, and how old it is.
func (v *JugView) setLeft(c batch.Colour, j batch.Jug, e ViewEnv) {
	v.LeftML = max(0, j.VolumeML-j.FilledML)
	v.LeftText = e.formatVolume(unit.Round(unit.KindVolume, v.LeftML)) + " left"
	if v.LeftML == 0 {
		v.LeftText = "nothing left"
	}
	if j.FilledCount > 0 {
		v.FilledText = countWords(j.FilledCount, "bottle", "bottles") + " filled"
	}
	age := e.Now.Sub(j.MixedAt)
	if j.ActivatedAt != 0 {
		age = e.Now.Sub(j.ActivatedAt)
	}
	fresh := cure.MixedDye{Class: dye.Class(c.Class), Alkali: j.ActivatedAt != 0, Temperature: usualKeepingCelsius, Age: unit.Duration(max(0, age) / zone.Second)}.Freshness()
	v.AgeText, v.IsOld = "mixed "+agoText(e.Now.Sub(j.MixedAt))+freshWords[fresh], fresh == cure.FreshnessWeak || fresh == cure.FreshnessDiscard
}

// Weighing is what a reading of the scale means for a colour's jug: the range that is good
// enough, in grams, and what to do.
type Weighing struct {
	Target   float64 `json:"target"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	IsWithin bool    `json:"within"`
	Step     string  `json:"step"`
	Sentence string  `json:"sentence"`
	MakeUpTo float64 `json:"makeUpTo"` // mL; the planned volume where it stays
	Volume   string  `json:"volume"`
}

// AdviseWeighing advises what to do with grams of powder weighed for a colour's jug.
func AdviseWeighing(s batch.State, colour journal.ID, grams float64, e ViewEnv) (Weighing, error) {
	c, ok := s.Colour(colour)
	if !ok {
		return Weighing{}, fault.New(fault.NotFound, "there is no such colour in this batch")
	}
	if !(grams >= 0 && grams <= 1e4) {
		return Weighing{}, fault.New(fault.Input, "%g g is not a possible weight", grams).WithHint("from 0 to 10 kg")
	}
	mix, w := plan.JugOf(s, c, e.Kit).Mix(), unit.Mass(grams)
	a := mix.Advise(0, unit.Mass(plan.ScaleStepOf(e.Kit)), &w, e.Style)
	out := Weighing{Target: float64(mix.TotalPowder()), IsWithin: a.Step == dye.StepUseIt, Step: string(a.Step), Sentence: a.Sentence,
		MakeUpTo: float64(a.MakeUpTo)}
	out.Low, out.High = out.Target*(1-dye.MaxGoodError.Value), out.Target*(1+dye.MaxGoodError.Value)
	if out.MakeUpTo == 0 {
		out.MakeUpTo = float64(mix.JugVolume())
	}
	out.MakeUpTo = unit.Round(unit.KindVolume, out.MakeUpTo)
	out.Volume = e.formatVolume(out.MakeUpTo)
	return out, nil
}
