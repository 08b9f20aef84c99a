package batch

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// DesignsState is what the house keeps of designs: the designs, the newest first, and how
// pieces came out.
type DesignsState struct {
	Version    int            `json:"version"`
	Designs    []KeptDesign   `json:"designs"`
	Results    []DesignResult `json:"results"`
	LastFact   journal.ID     `json:"last"`
	FactCount  int            `json:"facts"`
	ValidUntil zone.Instant   `json:"until,omitempty"` // as in State
}

// KeptDesign is a saved design. Withdrawing the fact FactID removes it.
type KeptDesign struct {
	ID     journal.ID   `json:"id"`
	Name   string       `json:"name"`
	Code   string       `json:"code"`
	At     zone.Instant `json:"at"`
	FactID journal.ID   `json:"fact"`
}

// DesignResult describes how a folded piece came out. Bag is the rated bag, or empty where a piece was rated.
type DesignResult struct {
	Design journal.ID   `json:"design,omitempty"`
	Bag    journal.ID   `json:"bag,omitempty"`
	Fold   string       `json:"fold"`
	White  float64      `json:"white"`
	Effect float64      `json:"effect"`
	At     zone.Instant `json:"at"`
	FactID journal.ID   `json:"fact"`
}

// BuildDesigns builds the state of the designs from their facts, in any order.
func BuildDesigns(facts []journal.Fact) DesignsState {
	all := journal.SortedByStamp(facts)
	s := DesignsState{Version: CacheVersion, Designs: []KeptDesign{}, Results: []DesignResult{}}
	effective := journal.Effective(all, nil)
	clocks := ReadClocks(effective)
	for _, f := range all {
		if f.Scope == journal.DesignsScope {
			s.LastFact = f.ID
			s.FactCount++
		}
	}
	for _, f := range effective {
		if change := designChanges[f.Kind]; change != nil && f.Scope == journal.DesignsScope && f.CheckBody() == nil {
			at, _ := clocks.CorrectedTime(f)
			change(&s, f, at)
		}
	}
	return s
}

// designChanges has a function for each kind of fact that changes the designs.
var designChanges = map[string]func(s *DesignsState, f journal.Fact, at zone.Instant){
	journal.KindDesignKept: func(s *DesignsState, f journal.Fact, at zone.Instant) {
		if b, ok := journal.DecodeBody[journal.DesignKept](f); ok {
			s.Designs = slices.DeleteFunc(s.Designs, func(d KeptDesign) bool { return d.ID == f.Subject })
			s.Designs = slices.Insert(s.Designs, 0, KeptDesign{f.Subject, b.Name, b.Code, at, f.ID})
		}
	},
	journal.KindDesignTried: func(s *DesignsState, f journal.Fact, at zone.Instant) {
		if b, ok := journal.DecodeBody[journal.DesignTried](f); ok {
			s.Results = slices.DeleteFunc(s.Results, func(r DesignResult) bool { return b.Bag != "" && r.Bag == b.Bag })
			s.Results = append(s.Results, DesignResult{f.Subject, b.Bag, b.Fold, b.WhiteShare, b.Effect, at, f.ID})
		}
	},
}
