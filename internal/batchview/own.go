package batchview

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/calibration"
	"coldbatch/internal/cause"
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
)

// The keys of own figures: those that journal.SumsSet has by these names, and the white inside of a
// fold, which only pictures use.
const (
	ownPickUp = "pick_up"
	ownCure   = "cure"
	ownWhite  = "white"
)

// OwnFigure is what the dyer's own results say in the place of a usual figure.
type OwnFigure struct {
	Key      string  `json:"key"` // pick_up, cure or white
	Title    string  `json:"title"`
	Text     string  `json:"text"`
	Value    float64 `json:"value"`
	Results  int     `json:"results"`        // how many it rests on
	IsEnough bool    `json:"enough"`         // they are enough to use it
	Used     float64 `json:"used,omitempty"` // the figure in use, 0 for the usual one
	UsedText string  `json:"usedText"`       // "the plans use 2.2, the usual figure"
	Rule     string  `json:"rule,omitempty"` // how it is drawn from the results
	Fold     string  `json:"fold,omitempty"` // of white inside
}

// OwnFigures returns what the dyer's own bags and pieces say: what full cloth holds, from bags that
// were weighed; how much of the usual time is enough, from bags that were rated; and how far the dye
// goes in each fold, from pieces of a design.
func OwnFigures(states []batch.State, tried []batch.DesignResult, e ViewEnv) []OwnFigure {
	var held []float64
	var cured []calibration.Outcome
	for _, s := range states {
		for _, b := range s.Bags {
			if share, ok := heldShare(s, b); ok && !b.NeedsNewerApp {
				held = append(held, share)
			}
			if o, ok := cureOutcome(s, b, e); ok {
				cured = append(cured, o)
			}
		}
	}
	out := []OwnFigure{viewPickUp(held, e), viewCure(cured, e)}
	effects := map[string][]float64{}
	for _, r := range tried {
		effects[r.Fold] = append(effects[r.Fold], r.Effect)
	}
	for fold, list := range effects {
		f := calibration.MeanFactor(calibration.MinEffect, calibration.MaxEffect, list)
		out = append(out, OwnFigure{Key: ownWhite, Title: "White inside, " + foldOf(fold).Words, Fold: fold, Value: roundOwn(f.Value), Results: f.Results, IsEnough: true,
			Text: fmt.Sprintf("the dye goes %s as far as the model says", formatFactor(roundOwn(f.Value)))})
	}
	slices.SortStableFunc(out[2:], func(a, b OwnFigure) int { return cmp.Compare(a.Title, b.Title) })
	return out
}

// roundOwn rounds a figure to what is recorded and shown of it.
func roundOwn(v float64) float64 { return math.Round(v*100) / 100 }

func viewPickUp(held []float64, e ViewEnv) OwnFigure {
	f := calibration.Median(goods.HeldWhenFull.Value, journal.MinOwnPickUp, journal.MaxOwnPickUp, held)
	v := OwnFigure{Key: ownPickUp, Title: "Pick-up", Value: roundOwn(f.Value), Results: f.Results, IsEnough: f.IsEnough(), Used: e.Kit.PickUp.Value,
		Rule: fmt.Sprintf("the median of the weighed bags; the usual figure counts as %.0f of them", calibration.UsualWeight.Value)}
	if f.Results == 0 {
		v.Text = "weigh bags when you close them: then the plan knows how much dye your cloth takes"
	} else {
		v.Text = fmt.Sprintf("dyed cloth holds %s times its dry weight; %s is usual", formatNumber(v.Value), formatNumber(goods.HeldWhenFull.Value))
	}
	v.UsedText = usedText(v, "plans", formatNumber(v.Used)+" times", e.Kit.PickUp)
	return v
}

func viewCure(cured []calibration.Outcome, e ViewEnv) OwnFigure {
	f := calibration.EnoughThreshold(journal.MinOwnCure, journal.MaxOwnCure, cured)
	v := OwnFigure{Key: ownCure, Title: "Cure", Value: roundOwn(f.Value), Results: f.Results, Used: e.Kit.Cure.Value,
		Rule: "the time that the fewest bags contradict, a pale one counting double; the further it is from the usual time the more bags it takes: one for a fifth, four for two fifths"}
	v.IsEnough = f.IsEnough() && (v.Value != 1 || v.Used != 0) // there is nothing to change to
	switch {
	case f.Results == 0:
		v.Text = "rate how bright bags came out: then the ready time knows how long yours need"
	case v.Value == 1:
		v.Text = "your bags agree with the usual time"
	default:
		v.Text = formatPercent(v.Value) + " of the usual time was enough"
	}
	v.UsedText = usedText(v, "ready times", formatPercent(v.Used)+" of the usual time", e.Kit.Cure)
	return v
}

// usedText says which figure is in use.
func usedText(v OwnFigure, what, used string, kept journal.OwnFigure) string {
	switch {
	case v.Used == 0 && v.Results > 0 && v.Results < int(calibration.MinResults.Value):
		return fmt.Sprintf("%s go by the usual figure; your own needs %.0f results", what, calibration.MinResults.Value)
	case v.Used == 0:
		return what + " go by the usual figure"
	}
	return what + " go by " + used + ", from " + countWords(kept.Results, "result", "results")
}

// brightFrom is the rating of brightness from which a cure counts as enough (judgement).
const brightFrom = 4

// cureOutcome returns what a rated bag says about the cure: that it was enough where the bag came out
// bright; that it was too little where it came out pale or bled and the record has no other probable
// cause. Other bags say nothing, nor do those of dyes with another time, or without a reading.
func cureOutcome(s batch.State, b batch.Bag, e ViewEnv) (o calibration.Outcome, ok bool) {
	results := resultsOf(s, b)
	if len(results) == 0 || b.NeedsNewerApp || len(b.DryFindings) > 0 {
		return o, false
	}
	r := evidenceOf(s, b, e)
	if r.Cure == nil || !r.Cure.IsRead || slices.ContainsFunc(r.Dyes, func(d cause.Dye) bool { return d.Class != dye.Dichlorotriazine }) {
		return o, false
	}
	o.Had = r.Cure.Done
	faults := ratedFaults(s, b)
	if slices.Contains(faults, cause.Pale) || slices.Contains(faults, cause.Bled) {
		others := slices.DeleteFunc(cause.Explain(r, faults, unit.Style{}).Causes, func(c cause.Cause) bool { return c.Key == cause.ShortCure || c.Sure == cause.Small })
		return o, len(others) == 0
	}
	o.WasEnough = true
	return o, slices.ContainsFunc(results, func(r batch.Result) bool { return r.Bright >= brightFrom })
}
