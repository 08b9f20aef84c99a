package batch

import (
	"slices"

	"coldbatch/internal/journal"
)

// CountBagged returns how many of a piece are in bags.
func (s State) CountBagged(piece journal.ID) (n int) {
	for _, b := range s.Bags {
		for _, p := range b.Pieces {
			if p.Piece == piece {
				n += p.Count
			}
		}
	}
	return n
}

// takeOut drops the pieces and colours that were removed from the batch. Pieces in bags stay,
// and so does a colour that a jug or a bag has: then the fact no longer applies. A line from
// which all pieces were split off is dropped as well.
func (b *builder) takeOut() {
	b.Pieces = slices.DeleteFunc(b.Pieces, func(p Piece) bool {
		_, removed := b.removed[p.ID]
		return (removed || p.Count <= 0) && b.CountBagged(p.ID) == 0
	})
	for i := range b.Pieces {
		p := &b.Pieces[i]
		f, removed := b.removed[p.ID]
		switch n := b.CountBagged(p.ID); {
		case p.Count <= 0:
			p.Count = n
		case removed && n >= p.Count:
			b.addUnapplied(f)
		case removed:
			p.Count = n
		}
	}
	b.Colours = slices.DeleteFunc(b.Colours, func(c Colour) bool {
		f, removed := b.removed[c.ID]
		if removed && b.isWorn(c.ID) {
			b.addUnapplied(f)
			return false
		}
		return removed
	})
	for i, p := range b.Pieces {
		b.Pieces[i].Colours = slices.DeleteFunc(slices.Clone(p.Colours), func(c journal.ColourInBag) bool {
			_, known := b.Colour(c.Colour)
			return !known
		})
	}
}

// isWorn says whether a jug or a bag has the colour.
func (b *builder) isWorn(colour journal.ID) bool {
	if slices.ContainsFunc(b.Jugs, func(j Jug) bool { return j.Colour == colour && !j.IsDiscarded }) {
		return true
	}
	has := func(list []journal.ColourInBag) bool {
		return slices.ContainsFunc(list, func(c journal.ColourInBag) bool { return c.Colour == colour })
	}
	return slices.ContainsFunc(b.Bags, func(bag Bag) bool {
		return has(bag.Colours) || slices.ContainsFunc(bag.AddedDyes, func(a AddedDye) bool { return has(a.Colours) })
	})
}
