package batchview

import (
	"cmp"
	"slices"
	"sort"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/journal"
)

// ViewToday returns the first screen: what needs doing now in any open batch. finished is
// how many batches are finished, which are not among states.
func ViewToday(states []batch.State, finished int, e ViewEnv) TodayView {
	v := TodayView{AsOf: e.formatDate(e.Now), OpenPowders: []OpenPowderView{}, Groups: []BagGroup{}, Places: []PlaceView{}, Batches: []BatchLine{}, IsFirst: len(states)+finished == 0}
	var all []BagView
	groups := []BagGroup{
		{Key: "ready", Title: "Ready to rinse"}, {Key: "probably", Title: "Probably ready"},
		{Key: "rinse", Title: "Opened: rinse and wash"}, {Key: "care", Title: "Needs a look"},
		{Key: "cure", Title: "Keep wet and warm"},
	}
	at := map[string]*BagGroup{}
	for i := range groups {
		at[groups[i].Key] = &groups[i]
	}
	for _, s := range states {
		if !s.IsOpen() {
			continue
		}
		if text := powderWords(s, e); text != "" {
			v.OpenPowders = append(v.OpenPowders, OpenPowderView{s.ID, s.Name, text})
		}
		for _, b := range s.Bags {
			if t := viewBag(s, b, e); t.Stage != "done" {
				g := at[groupOf(t)]
				g.Bags = append(g.Bags, t)
				all = append(all, t)
			}
		}
	}
	for _, g := range groups {
		if len(g.Bags) > 0 {
			orderByPlace(g.Bags)
			v.Groups = append(v.Groups, g)
		}
	}
	v.Batches = ListBatches(states, e)
	v.Places = viewPlaces(e, all)
	v.Headline = headline(at, len(v.Batches), v.IsFirst)
	return v
}

func groupOf(t BagView) string {
	switch {
	case t.Stage != "cure":
		return "rinse"
	case t.NeedsNewerApp, t.IsCold:
		return "care"
	}
	switch cure.Verdict(t.Verdict) {
	case cure.VerdictReady, cure.VerdictNoGain:
		return "ready"
	case cure.VerdictProbablyReady:
		return "probably"
	case cure.VerdictKeepWet:
		return "cure"
	}
	return "care"
}

// compareReadiness orders bags by the middle figure, those without one last, then by
// closing.
func compareReadiness(a, b BagView) int {
	none := func(v BagView) int {
		if v.ReadyAt == 0 {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(none(a), none(b)), cmp.Compare(a.ReadyAt, b.ReadyAt), cmp.Compare(a.ClosedAt, b.ClosedAt))
}

// orderByPlace orders bags by readiness, those of one place together: the place whose first
// bag is ready first comes first.
func orderByPlace(bags []BagView) {
	slices.SortStableFunc(bags, compareReadiness)
	rank := map[journal.ID]int{}
	for _, b := range bags {
		if _, known := rank[b.Place]; !known {
			rank[b.Place] = len(rank)
		}
	}
	slices.SortStableFunc(bags, func(a, b BagView) int { return cmp.Compare(rank[a.Place], rank[b.Place]) })
}

func headline(at map[string]*BagGroup, batches int, isFirst bool) string {
	ready, probably, curing := len(at["ready"].Bags), len(at["probably"].Bags), len(at["cure"].Bags)
	switch {
	case ready > 0:
		return countWords(ready, "bag ready to rinse", "bags ready to rinse")
	case probably > 0:
		return countWords(probably, "bag probably ready", "bags probably ready")
	case len(at["rinse"].Bags) > 0:
		return countWords(len(at["rinse"].Bags), "bag to rinse and wash", "bags to rinse and wash")
	case len(at["care"].Bags) > 0:
		return countWords(len(at["care"].Bags), "bag needs a look", "bags need a look")
	case curing > 0:
		return countWords(curing, "bag is curing", "bags are curing")
	case batches > 0:
		return "Nothing to do now"
	}
	return yesOrNo(isFirst, "Nothing is dyeing yet", "Nothing is dyeing now")
}

// ListBatches returns each batch as a line of a list, open ones first, newest first.
func ListBatches(states []batch.State, e ViewEnv) []BatchLine {
	out := make([]BatchLine, 0, len(states))
	for _, s := range states {
		var v BatchView
		for _, c := range s.Colours {
			v.Colours = append(v.Colours, viewColour(c))
			v.Jugs = append(v.Jugs, viewJug(s, c, e))
		}
		v.Soak = viewSoak(s, e)
		v.setSteps(s)
		b := BatchLine{ID: s.ID, Name: s.Name, StageText: v.StageText, Open: s.IsOpen() && v.Stage != "done", Started: s.StartedAt, Colours: v.Colours}
		if b.Colours == nil {
			b.Colours = []ColourView{}
		}
		for _, st := range v.Steps {
			if st.IsNext && s.IsOpen() {
				b.Detail = st.Title
			}
		}
		out = append(out, b)
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Open != out[j].Open {
			return out[i].Open
		}
		return out[i].Started > out[j].Started
	})
	return out
}
