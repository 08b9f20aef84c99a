package batchview

import (
	"sort"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/journal"
)

// ViewToday returns the first screen: what needs doing now in any open batch.
func ViewToday(states []batch.State, e ViewEnv) TodayView {
	v := TodayView{Groups: []BagGroup{}, Places: []PlaceView{}, Batches: []BatchLine{}}
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
		for _, b := range s.Bags {
			if t := viewBag(s, b, e); t.Stage != "done" {
				g := at[groupOf(t)]
				g.Bags = append(g.Bags, t)
			}
		}
	}
	for _, g := range groups {
		if len(g.Bags) > 0 {
			sort.SliceStable(g.Bags, func(i, j int) bool { return readyBefore(g.Bags[i], g.Bags[j]) })
			v.Groups = append(v.Groups, g)
		}
	}
	v.Batches = ListBatches(states, e)
	v.Places = viewPlaces(e)
	v.Headline = headline(at, len(v.Batches))
	return v
}

func groupOf(t BagView) string {
	switch {
	case t.Stage != "cure":
		return "rinse"
	case t.NeedsNewerApp:
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

// readyBefore orders bags by the middle figure, those without one last, then by
// closing.
func readyBefore(a, b BagView) bool {
	if a.ReadyAt != b.ReadyAt {
		return a.ReadyAt != 0 && (b.ReadyAt == 0 || a.ReadyAt < b.ReadyAt)
	}
	return a.ClosedAt < b.ClosedAt
}

func headline(at map[string]*BagGroup, batches int) string {
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
		return "Nothing needs a hand"
	}
	return "Nothing is dyeing yet"
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
		b := BatchLine{ID: s.ID, Name: s.Name, StageText: v.StageText, Open: s.IsOpen(), Started: s.StartedAt, Colours: v.Colours}
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

func viewPlaces(e ViewEnv) []PlaceView {
	out := make([]PlaceView, 0, len(e.Places))
	for _, p := range e.Places {
		if p.Name != "" {
			out = append(out, ViewPlace(p, e))
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Name != out[j].Name {
			return out[i].Name < out[j].Name
		}
		return journal.ID(out[i].ID) < journal.ID(out[j].ID)
	})
	return out
}
