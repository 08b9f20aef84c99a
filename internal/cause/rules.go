package cause

import (
	"fmt"
	"math"
	"strconv"

	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/rinse"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

// Rule is one cause: which faults it makes and how strongly (0 to 1), the figure up to which
// nothing is wrong (Fine) and from which it is as wrong as can be (Bad), and what to do next
// time. A rule without Fine and Bad judges a yes or no. Missing names the figure, where it
// helps to record it.
type Rule struct {
	Key, Title string
	Makes      map[Fault]float64
	Fine, Bad  float64
	Advice     string
	Missing    string
	Source     provenance.Source
	find       func(r Evidence, s unit.Style) finding
}

// finding is what a rule found: how far off the figure is, from 0 to 1, and the figure in
// words. known says that the record holds the figure; next replaces the rule's advice.
type finding struct {
	score      float64
	figure     string
	advice     string
	isRecorded bool
}

// off returns how far v is on the way from fine to bad, 0 to 1; fine may be the larger of the two.
func off(v, fine, bad float64) float64 {
	return math.Round(min(1, max(0, (v-fine)/(bad-fine)))*1000) / 1000
}

// The limits of the rules; what is fine, and what is as wrong as can be.
var (
	usualSoakMinutes     = soak.UsualTime.Value / 60
	usualTiedSoakMinutes = soak.UsualTimeTied.Low / 60
	causeStrengthSource  = judgementSource("the strengths with which a cause makes a fault")
	fullPickUp           = liquor.PickUpShare
)

// Rules lists every rule, in the order of the job.
func Rules() []Rule {
	return append(append(soakRules(), dyeRules()...), afterRules()...)
}

func soakRules() []Rule {
	return []Rule{
		{Key: "fibre", Title: "Wrong fibre", Makes: map[Fault]float64{Pale: 1, Patchy: 0.7, OtherHue: 0.8, Stiff: 0.6},
			Advice: "Use cotton, linen, hemp or viscose.", Missing: "what the cloth is made of", Source: causeStrengthSource, find: findFibre},
		{Key: "not-scoured", Title: "Not washed before dyeing", Makes: map[Fault]float64{Patchy: 1, WhiteInside: 0.5, Pale: 0.4},
			Advice: "Wash out finish and softener first, hot, with soda ash and a little detergent.", Missing: "whether it was washed before dyeing",
			Source: provenance.CommonPracticeSource, find: func(r Evidence, _ unit.Style) finding {
				if r.Scoured == nil {
					return finding{}
				}
				return finding{score: yes(!*r.Scoured, 0.8), figure: "other pieces in this batch were washed first, but this one was not", isRecorded: true}
			}},
		{Key: "weak-soak", Title: "Weak soak", Makes: map[Fault]float64{Pale: 1, Patchy: 0.5, Bled: 0.5}, Fine: soak.UsualStrength.Low, Bad: 15,
			Advice: "Weigh the soda ash: 50 g for each litre of water.", Missing: "how the soak was mixed", Source: soak.UsualStrength.Source,
			find: func(r Evidence, s unit.Style) finding {
				return judge(r.SoakStrength, soak.UsualStrength.Low, 15, func(v float64) string {
					return unit.Show(unit.KindConcentration, v, s) + " of soda ash; " + unit.ShowRange(unit.KindConcentration, soak.UsualStrength.Low, soak.UsualStrength.High, s) + " is usual"
				})
			}},
		{Key: "wrong-powder", Title: "Not soda ash", Makes: map[Fault]float64{Pale: 1, Bled: 0.7},
			Advice: "Look at the packet: sodium carbonate, not bicarbonate (baking soda).", Missing: "the pH of the soak", Source: soak.BakingSodaPH.Source,
			find: findPH(soak.VerdictWrongPowder, "too low for soda ash of any strength")},
		{Key: "too-alkaline", Title: "Too alkaline", Makes: map[Fault]float64{Pale: 0.7, OtherHue: 0.8, Stiff: 0.3},
			Advice: "Don't touch the bath with bare skin. Look at the packet: it may be caustic soda.", Missing: "the pH of the soak", Source: soak.CausticMargin.Source,
			find: findPH(soak.VerdictTooAlkaline, "too high for soda ash")},
		{Key: "spent-soak", Title: "Spent soak", Makes: map[Fault]float64{Pale: 1, Bled: 0.6}, Fine: 0.15, Bad: soak.MinSpentShare.Value,
			Advice: "Mix a fresh soak, or check the pH and top it up.", Missing: "the pH of the soak", Source: soak.MinSpentShare.Source,
			find: func(r Evidence, s unit.Style) finding {
				c := r.SoakCheck
				if c == nil || c.Verdict == soak.VerdictWrongPowder || c.Verdict == soak.VerdictTooAlkaline {
					return finding{isRecorded: c != nil}
				}
				return finding{score: off(c.Spent, 0.15, soak.MinSpentShare.Value), isRecorded: true,
					figure: phWords(c, s) + ": " + percent(c.Spent) + " of the soda ash is spent"}
			}},
		{Key: "short-soak", Title: "Short soak", Makes: map[Fault]float64{Patchy: 1, WhiteInside: 0.9, Pale: 0.6}, Fine: 0.75, Bad: 0.2,
			Advice: "Leave loose pieces in the soak for 20 min, tied ones for 45 to 60 min, and press the air out.", Missing: "how long it was in the soak",
			Source: soak.UsualTime.Source, find: func(r Evidence, s unit.Style) finding {
				need, what := usualSoakMinutes, ""
				if r.Tied {
					need, what = usualTiedSoakMinutes, " for a tied piece"
				}
				if r.SoakMinutes == nil {
					return finding{}
				}
				return finding{score: off(*r.SoakMinutes/need, 0.75, 0.2), isRecorded: true,
					figure: minutes(*r.SoakMinutes) + "; " + minutes(need) + " is usual" + what}
			}},
		{Key: "crowded-soak", Title: "Too much cloth in the soak", Makes: map[Fault]float64{Pale: 0.8, Patchy: 0.8, WhiteInside: 0.6}, Fine: 1, Bad: 2,
			Advice: "Mix more soak, or top it up at the same strength.", Source: soak.MinRemaining.Source, find: func(r Evidence, s unit.Style) finding {
				if r.SoakServes == nil || *r.SoakServes <= 0 {
					return finding{}
				}
				return finding{score: off(r.SoakGoods / *r.SoakServes, 1, 2), isRecorded: true,
					figure: mass(r.SoakGoods, s) + " of cloth in a soak that serves " + mass(*r.SoakServes, s)}
			}},
		{Key: "hard-water", Title: "Hard water", Makes: map[Fault]float64{Patchy: 0.8, Muddy: 0.8, Stiff: 0.9, OtherHue: 0.5, Pale: 0.3}, Fine: 120, Bad: 350,
			Advice: "Add a sequestering agent to the dye water and the soak, or use soft water.", Missing: "how hard the water is",
			Source: provenance.Source{Reliability: provenance.Published, Text: "US Geological Survey, water hardness: more than 120 mg/L of calcium carbonate is hard, more than 180 very hard; what it does to the dye is common practice"},
			find: func(r Evidence, s unit.Style) finding {
				return judge(r.Hardness, 120, 350, func(v float64) string {
					return unit.Show(unit.KindHardness, v, s) + " of calcium carbonate; hard water starts above 120"
				})
			}},
	}
}

func dyeRules() []Rule {
	return []Rule{
		{Key: "weak-jug", Title: "Weak jug", Makes: map[Fault]float64{Pale: 1, OtherHue: 0.8}, Fine: 0.9, Bad: 0.5,
			Advice: "Check the weight of the powder before you add water; if it is off, adjust the volume.", Missing: "what was weighed for the jugs", Source: causeStrengthSource,
			find: func(r Evidence, s unit.Style) finding { return findJug(r, s, 0.9, 0.5) }},
		{Key: "strong-jug", Title: "Strong jug", Makes: map[Fault]float64{Bled: 0.7, Muddy: 0.7, OtherHue: 0.8}, Fine: 1.15, Bad: 2,
			Advice: "Check the weight of the powder before you add water; if it is off, adjust the volume.", Source: causeStrengthSource,
			find: func(r Evidence, s unit.Style) finding { return findJug(r, s, 1.15, 2) }},
		{Key: "old-dye", Title: "Old dye", Makes: map[Fault]float64{Pale: 0.95, OtherHue: 0.9},
			Advice: "Mix dye on the day you use it; keep leftovers cold, without soda ash.", Missing: "when the dye was mixed", Source: cure.WithoutSodaUseWithin.Source,
			find: func(r Evidence, s unit.Style) finding {
				return findAge(r, func(d Dye) *float64 { return d.AgeHours }, "was mixed %s before bagging")
			}},
		{Key: "dye-with-soda", Title: "Soda ash too long in the dye", Makes: map[Fault]float64{Pale: 1, OtherHue: 0.9},
			Advice: "Add soda ash to a jug only when you use it within the hour.", Source: cure.WithSodaUseWithin.Source,
			find: func(r Evidence, s unit.Style) finding {
				return findAge(r, func(d Dye) *float64 { return d.SodaAgeHours }, "had soda ash in it for %s before bagging")
			}},
		{Key: "too-little-dye", Title: "Too little dye", Makes: map[Fault]float64{WhiteInside: 1, Patchy: 0.8, Pale: 0.7}, Fine: 0.8, Bad: 0.35,
			Advice: "Squirt more, from both sides and into the folds, until the bundle feels full.", Missing: "how much dye went on", Source: fullPickUp.Source,
			find: func(r Evidence, s unit.Style) finding {
				return judge(r.DyePerGram, 0.8*fullPickUp.Value, 0.35*fullPickUp.Value, dyeFigure)
			}},
		{Key: "too-much-dye", Title: "Too much dye", Makes: map[Fault]float64{Muddy: 1, Bled: 0.8}, Fine: 1.45, Bad: 2.2,
			Advice: "Stop when the bundle is full, and let it drip before you bag it.", Source: fullPickUp.Source, find: func(r Evidence, s unit.Style) finding {
				return judge(r.DyePerGram, 1.45*fullPickUp.Value, 2.2*fullPickUp.Value, dyeFigure)
			}},
		{Key: "needs-heat", Title: "A dye that needs heat", Makes: map[Fault]float64{Pale: 1, Bled: 0.9, OtherHue: 0.7},
			Advice: "Use it in a hot bath; for bags choose a dichlorotriazine dye.", Source: cure.HotLimitSource, find: func(r Evidence, _ unit.Style) finding {
				return findClass(r, dye.Monochlorotriazine, 1)
			}},
		{Key: "unknown-class", Title: "A dye of unknown class", Makes: map[Fault]float64{Pale: 0.8, Bled: 0.7, OtherHue: 0.4},
			Advice: "Look for the class on the jar or its data sheet, or dye a test strip.", Source: provenance.CommonPracticeSource, find: func(r Evidence, _ unit.Style) finding {
				return findClass(r, dye.UnknownClass, 0.4)
			}},
		{Key: "two-classes", Title: "Dyes that react at different speeds", Makes: map[Fault]float64{OtherHue: 0.9},
			Advice: "Use dyes of one class where colours mix, or wait for the slowest.", Source: dye.Classes()[1].Source, find: findTwoClasses},
		{Key: "opposites", Title: "Colours that make brown", Makes: map[Fault]float64{Muddy: 0.95}, Fine: 110, Bad: 165,
			Advice: "Keep opposite colours apart: leave a gap, or put a third colour between them.",
			Source: judgementSource("two dyes of opposite hue absorb all the light between them"), find: func(r Evidence, _ unit.Style) finding {
				return judge(r.HueGap, 110, 165, func(v float64) string {
					return fmt.Sprintf("two colours in the bag are %.0f° apart on the colour wheel", v)
				})
			}},
	}
}

func afterRules() []Rule {
	return []Rule{
		{Key: ShortCure, Title: "Not long or warm enough", Makes: map[Fault]float64{Pale: 1, Bled: 0.9, OtherHue: 0.4}, Fine: 1, Bad: 0.4,
			Advice: "Wait for the “to be safe” time, or move the bags somewhere warmer.", Missing: "when the bag was opened", Source: cure.UsualTime.Source, find: findCure},
		{Key: "dried", Title: "It dried out", Makes: map[Fault]float64{Patchy: 1, Pale: 0.8}, Fine: 0, Bad: 12,
			Advice: "Press the air out before you close the bag, and put it in a second bag.", Source: provenance.CommonPracticeSource, find: func(r Evidence, _ unit.Style) finding {
				if r.Dried == nil {
					return finding{isRecorded: true}
				}
				f := finding{score: max(0.5, off(r.Dried.Hours, 0, 12)), isRecorded: true, figure: "it may have been dry for " + hours(r.Dried.Hours)}
				if !r.Dried.Wetted {
					f.score, f.figure = 1, f.figure+", and was not wetted again"
				}
				return f
			}},
		{Key: "few-baths", Title: "Too few rinses", Makes: map[Fault]float64{Bled: 0.9, Stiff: 1, Muddy: 0.4}, Fine: 0.75, Bad: 0.2,
			Advice: "Rinse cold until it no longer feels slippery, then hot, until the water stays clear.", Missing: "how many baths it was rinsed in", Source: rinse.WashOrderSource, find: findBaths},
		{Key: "not-clear", Title: "Loose dye left in", Makes: map[Fault]float64{Bled: 1, Muddy: 0.6},
			Advice: "Keep rinsing until a white rag pressed on it stays white.", Missing: "what a white rag showed", Source: rinse.WashOrderSource, find: func(r Evidence, _ unit.Style) finding {
				switch {
				case r.Rag == "stained":
					return finding{score: 0.9, figure: "the white rag was stained", isRecorded: true}
				case r.Clear != nil && !*r.Clear:
					return finding{score: 0.85, figure: "the last bath did not run clear", isRecorded: true}
				case r.Rag == "tinted":
					return finding{score: 0.5, figure: "the white rag took on a tint", isRecorded: true}
				}
				return finding{isRecorded: r.Rag != "" || r.Clear != nil}
			}},
		{Key: "hot-first", Title: "Hot water before the soda ash was out", Makes: map[Fault]float64{Bled: 0.95, Pale: 0.8}, Fine: 35, Bad: 60,
			Advice: "Rinse cold first: hot soapy water with soda ash still in the cloth breaks the bond between dye and fibre.", Source: rinse.WashOrderSource, find: func(r Evidence, s unit.Style) finding {
				return judge(r.FirstBath, 35, 60, func(v float64) string {
					return "the first bath was at " + unit.Show(unit.KindTemperature, v, s)
				})
			}},
		{Key: "not-alone", Title: "Washed with other things", Makes: map[Fault]float64{Bled: 0.7, OtherHue: 0.6, Muddy: 0.6},
			Advice: "Machine-wash it alone the first time.", Source: provenance.CommonPracticeSource, find: func(r Evidence, _ unit.Style) finding {
				if r.WashedAlone == nil {
					return finding{}
				}
				return finding{score: yes(!*r.WashedAlone, 0.8), figure: "it was first machine-washed with other laundry", isRecorded: true}
			}},
		{Key: "thickener", Title: "Thickener left in", Makes: map[Fault]float64{Stiff: 0.9}, Fine: 0, Bad: 10,
			Advice: "Wash it once more, warm and with plenty of water.", Source: provenance.CommonPracticeSource, find: func(r Evidence, s unit.Style) finding {
				return finding{score: off(r.Alginate, 0, 10), figure: unit.Show(unit.KindConcentration, r.Alginate, s) + " of alginate in the dye", isRecorded: true}
			}},
	}
}

// judge judges one figure, nil if nobody recorded it.
func judge(v *float64, fine, bad float64, words func(float64) string) finding {
	if v == nil {
		return finding{}
	}
	return finding{score: off(*v, fine, bad), figure: words(*v), isRecorded: true}
}

// yes returns off if is is true, else 0.
func yes(is bool, off float64) float64 {
	if is {
		return off
	}
	return 0
}

func percent(share float64) string { return strconv.Itoa(int(math.Round(share*100))) + " %" }

func mass(g float64, s unit.Style) string { return unit.Show(unit.KindMass, g, s) }

func minutes(m float64) string { return strconv.Itoa(int(math.Round(m))) + " min" }

// hours writes a time in minutes, hours or days.
func hours(h float64) string {
	switch {
	case h < 1:
		return minutes(h * 60)
	case h < 48:
		return strconv.FormatFloat(math.Round(h*2)/2, 'f', -1, 64) + " h"
	}
	return strconv.Itoa(int(math.Round(h/24))) + " days"
}

func phWords(c *Check, s unit.Style) string {
	return "the soak was at " + unit.Show(unit.KindPH, float64(c.PH), s) + "; a fresh one is at " + unit.Show(unit.KindPH, float64(c.Expected), s)
}

// findPH finds a measured pH with that verdict.
func findPH(v soak.Verdict, words string) func(Evidence, unit.Style) finding {
	return func(r Evidence, s unit.Style) finding {
		if r.SoakCheck == nil {
			return finding{}
		}
		return finding{score: yes(r.SoakCheck.Verdict == v, 1), figure: phWords(r.SoakCheck, s) + ": " + words, isRecorded: true}
	}
}

// findFibre judges what the cloth is made of.
func findFibre(r Evidence, _ unit.Style) finding {
	info, ok := r.Fibre.Info()
	if !ok {
		return finding{}
	}
	f := finding{isRecorded: true, figure: info.Words + ": " + info.Advice, advice: ""}
	switch info.Affinity {
	case goods.AffinityStaysWhite:
		f.score = 1
		if r.FibreShare > 0 {
			f.score, f.figure = max(0.3, min(1, r.FibreShare*1.5)), percent(r.FibreShare)+" "+f.figure
		}
	case goods.AffinityStains, goods.AffinityNeedsOtherBath:
		f.score = 0.95
	case goods.AffinityDyes:
	}
	return f
}

// findJug finds the jug whose strength is furthest from the plan.
func findJug(r Evidence, s unit.Style, fine, bad float64) (worst finding) {
	for _, d := range r.Dyes {
		if d.MadeStrength == nil || d.PlannedStrength <= 0 {
			continue
		}
		worst.isRecorded = true
		if o := off(*d.MadeStrength/d.PlannedStrength, fine, bad); o > worst.score {
			worst.score = o
			worst.figure = d.Name + " is " + unit.Show(unit.KindConcentration, *d.MadeStrength, s) + "; " + unit.Show(unit.KindConcentration, d.PlannedStrength, s) + " was planned"
		}
	}
	return worst
}

// findAge finds the dye that had lost most by its age.
func findAge(r Evidence, age func(Dye) *float64, words string) (worst finding) {
	for _, d := range r.Dyes {
		a := age(d)
		if a == nil {
			continue
		}
		worst.isRecorded = true
		o := 0.0
		switch cure.DyeFreshness(d.Freshness) {
		case cure.FreshnessWeak:
			o = 0.75
		case cure.FreshnessDiscard:
			o = 1
		case cure.FreshnessGood, cure.FreshnessUseSoon:
		}
		if d.SodaAgeHours != nil && a == d.AgeHours { // the soda ash counts, not the day of mixing
			o = 0
		}
		if o > worst.score {
			worst.score, worst.figure = o, d.Name+" "+fmt.Sprintf(words, hours(*a))
		}
	}
	return worst
}

// findClass finds a dye of a class.
func findClass(r Evidence, class dye.Class, off float64) finding {
	for _, d := range r.Dyes {
		if d.Class == class {
			return finding{score: off, figure: d.Name + " (" + class.Info().Words + "): " + class.Info().Advice, isRecorded: true}
		}
	}
	return finding{isRecorded: len(r.Dyes) > 0}
}

// findTwoClasses finds colours of different classes in one bag.
func findTwoClasses(r Evidence, _ unit.Style) finding {
	for _, d := range r.Dyes {
		if first := r.Dyes[0]; d.Class != first.Class && d.Class != dye.UnknownClass && first.Class != dye.UnknownClass {
			return finding{score: 0.7, figure: first.Name + " is " + first.Class.Info().Words + ", " + d.Name + " is " + d.Class.Info().Words, isRecorded: true}
		}
	}
	return finding{isRecorded: len(r.Dyes) > 0}
}

// findCure judges the time that passed by its middle figure. Where the range reaches the
// whole time, the cause is possible at most.
func findCure(r Evidence, s unit.Style) finding {
	c := r.Cure
	if c == nil {
		return finding{}
	}
	f := finding{score: off(c.Done, 1, 0.4), isRecorded: true}
	if c.High >= 1 {
		f.score = min(f.score, 0.5)
	}
	if !c.IsRead {
		f.score *= 0.6
	}
	where := unit.Show(unit.KindTemperature, float64(c.Coldest), s)
	if c.Warmest-c.Coldest >= 1 {
		where = unit.ShowRange(unit.KindTemperature, float64(c.Coldest), float64(c.Warmest), s)
	}
	f.figure = fmt.Sprintf("%s of the usual time (%s to %s): %s at %s", percent(c.Done), percent(c.Low), percent(c.High), hours(c.Hours), where)
	if !c.IsRead {
		f.figure += ", assumed: no reading yet"
	}
	return f
}

// findBaths judges the number of baths by what the sum asks for, 4 where that is not known.
func findBaths(r Evidence, _ unit.Style) finding {
	if r.Baths == nil {
		return finding{}
	}
	need := r.BathsNeeded
	if need == 0 {
		need = 4
	}
	return finding{score: off(float64(*r.Baths)/float64(need), 0.75, 0.2), isRecorded: true,
		figure: fmt.Sprintf("rinsed in %d of the %d baths it needs", *r.Baths, need)}
}

// dyeFigure writes how much dye a gram of cloth got.
func dyeFigure(v float64) string {
	return fmt.Sprintf("%s mL of dye per gram of cloth; cloth holds about %s", strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64),
		strconv.FormatFloat(math.Round(fullPickUp.Value*10)/10, 'f', -1, 64))
}
