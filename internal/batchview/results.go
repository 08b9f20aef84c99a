package batchview

import (
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/colour"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// ResultQuery says which results to find. An empty field matches any.
type ResultQuery struct {
	Colour       string       `json:"colour,omitempty"` // a word, as "rust" or "blue", or #rrggbb for colours near it
	Fold         string       `json:"fold,omitempty"`
	PieceKind    string       `json:"kind,omitempty"`   // of piece
	MinRating    int          `json:"rating,omitempty"` // overall, at least
	ClosedFrom   zone.Instant `json:"from,omitempty"`   // closed, from
	ClosedBefore zone.Instant `json:"to,omitempty"`     // closed, before
}

// ResultCard is a bag that came out, as a card on the wall of results.
type ResultCard struct {
	Batch      journal.ID   `json:"batch"`
	Bag        journal.ID   `json:"bag"`
	BatchName  string       `json:"batchName"`
	Number     string       `json:"number"`
	Contents   string       `json:"what"`
	Colours    []ColourView `json:"colours"`
	Rating     int          `json:"rating"`
	Summary    string       `json:"summary"`
	Photo      string       `json:"photo,omitempty"` // hash of the newest
	ClosedText string       `json:"when"`
	closed     zone.Instant
}

// ResultsView is the wall of results: what was found, what there is to choose from, and what
// the dyer's own results say.
type ResultsView struct {
	Cards      []ResultCard `json:"cards"` // the newest first
	Folds      []FoldInfo   `json:"folds"` // those that occur
	Kinds      []KindChoice `json:"kinds"` // those that occur
	OwnFigures []OwnFigure  `json:"own"`
}

// KindChoice is a kind of piece that occurs.
type KindChoice struct {
	Kind  string `json:"kind"`
	Words string `json:"words"`
}

// nearColour says how near a colour must be to one that is looked for, by CIEDE2000 (judgement:
// a person calls them alike).
const nearColour = 20

// FindResults finds bags that were opened and came out, of all batches. tried are the results of
// designs.
func FindResults(states []batch.State, tried []batch.DesignResult, q ResultQuery, e ViewEnv) ResultsView {
	v := ResultsView{Cards: []ResultCard{}, Folds: []FoldInfo{}, Kinds: []KindChoice{}, OwnFigures: OwnFigures(states, tried, e)}
	for _, s := range states {
		for _, b := range s.Bags {
			if b.OpenedAt == 0 && b.DoneAt == 0 || b.IsEmpty() {
				continue
			}
			fold, kinds := bagFold(s, b), bagKinds(s, b)
			if f := foldOf(fold); fold != "" && !slices.Contains(v.Folds, f) {
				v.Folds = append(v.Folds, f)
			}
			for _, k := range kinds {
				if c := (KindChoice{k, goods.Kind(k).Info().Words}); !slices.Contains(v.Kinds, c) {
					v.Kinds = append(v.Kinds, c)
				}
			}
			r, _ := s.ResultOf(b.ID)
			if q.Fold != "" && q.Fold != fold || q.PieceKind != "" && !slices.Contains(kinds, q.PieceKind) || r.Overall < q.MinRating ||
				b.ClosedAt < q.ClosedFrom || q.ClosedBefore != 0 && b.ClosedAt >= q.ClosedBefore || !hasColour(s, b, q.Colour) {
				continue
			}
			card := ResultCard{Batch: s.ID, Bag: b.ID, BatchName: s.Name, Number: formatBagNumber(b.Number, b.Letter), Contents: contentWords(s, b),
				Colours: bagColours(s, b), Rating: r.Overall, Summary: ratingWords(r), ClosedText: e.formatTime(b.ClosedAt), closed: b.ClosedAt}
			if photos := bagPhotos(s, b, e); len(photos) > 0 {
				card.Photo = photos[0].Hash
			}
			v.Cards = append(v.Cards, card)
		}
	}
	slices.SortStableFunc(v.Cards, func(x, y ResultCard) int { return int(min(1, max(-1, y.closed.Sub(x.closed)))) })
	return v
}

func bagKinds(s batch.State, b batch.Bag) (kinds []string) {
	for _, bp := range b.Pieces {
		if p, ok := s.Piece(bp.Piece); ok && bp.Count > 0 && !slices.Contains(kinds, p.Kind) {
			kinds = append(kinds, p.Kind)
		}
	}
	return kinds
}

// hasColour says whether a bag has a colour of that word or near that colour, as it was
// planned or as it was read from a photo.
func hasColour(s batch.State, b batch.Bag, wanted string) bool {
	wanted = strings.ToLower(strings.TrimSpace(wanted))
	if wanted == "" {
		return true
	}
	near, byLab := colour.Lab{}, false
	if len(wanted) == 7 && wanted[0] == '#' {
		rgb := parseRGB(wanted)
		near, byLab = colour.FromSRGB(rgb[0], rgb[1], rgb[2]), true
	}
	matches := func(name string, lab colour.Lab) bool {
		if byLab {
			return colour.Difference(lab, near) <= nearColour
		}
		rgb, _ := lab.SRGB()
		return strings.Contains(strings.ToLower(name), wanted) || strings.Contains(colour.PlainWord(rgb[0], rgb[1], rgb[2]), wanted)
	}
	for _, c := range bagColours(s, b) {
		rgb := parseRGB(c.RGB)
		if matches(c.Name, colour.FromSRGB(rgb[0], rgb[1], rgb[2])) {
			return true
		}
	}
	for _, x := range s.Readings {
		if x.Subject == b.ID && matches("", labOfReading(x)) {
			return true
		}
	}
	return false
}
