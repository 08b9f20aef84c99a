package shelf

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// BatchUses is what one batch used.
type BatchUses struct {
	Batch journal.ID       `json:"batch"`
	Uses  []batch.StockUse `json:"uses"`
}

// Level says how much of a thing is there. It is below zero where more was used than ever came.
type Level struct {
	Item
	Amount  float64 `json:"amount"` // g or pieces
	IsKnown bool    `json:"known"`  // it was bought or counted at some time
	Used    float64 `json:"used"`   // by batches, in all
}

// Count returns the level of every thing: what was bought, less what was used and thrown away,
// from the last count on. What batches used comes off by itself, each fact once, even where
// the shelf has it too because the batch was removed. What somebody took off as planned does not
// count where another phone had recorded the real amount.
func Count(s State, batches []BatchUses) []Level {
	kept := s.settled()
	settled := maps.Clone(kept)
	met := map[use]bool{} // what was planned and then recorded by the batch itself
	for _, it := range s.Items {
		for _, m := range it.Moves {
			met[use{m.PlannedID, it.StockType}] = true
		}
	}
	used := map[journal.ID][]Move{}
	for _, b := range batches {
		for _, u := range b.Uses {
			met[use{u.PlannedID, u.StockType}] = true
			if id := s.resolve(u); id != "" && settled[use{u.FactID, u.StockType}] == "" {
				settled[use{u.FactID, u.StockType}] = u.FactID // a batch given twice counts once
				used[id] = append(used[id], Move{FactID: u.FactID, Kind: Used, Amount: u.Amount, At: u.At, Batch: b.Batch, CauseID: u.FactID})
			}
		}
	}
	levels := make([]Level, 0, len(s.Items))
	for _, it := range s.Items {
		it.Moves = slices.DeleteFunc(slices.Clone(it.Moves), func(m Move) bool {
			of := use{m.CauseID, it.StockType}
			return m.CauseID != "" && (kept[of] != m.FactID || met[of])
		})
		it.Moves = sortMoves(append(it.Moves, used[it.ID]...))
		levels = append(levels, it.level())
	}
	return levels
}

// use identifies one use: by the fact and the type of stock, since one fact may take powder and urea for a jug.
type use struct {
	causeID   journal.ID
	stockType string
}

// settled returns the uses that the shelf's own facts hold, each with the fact that counts: two
// phones may both have recorded the same use when its batch was removed.
func (s State) settled() map[use]journal.ID {
	m := map[use]journal.ID{}
	for _, it := range s.Items {
		for _, mv := range it.Moves {
			if had := m[use{mv.CauseID, it.StockType}]; mv.CauseID != "" && (had == "" || mv.FactID < had) {
				m[use{mv.CauseID, it.StockType}] = mv.FactID
			}
		}
	}
	return m
}

// resolve returns the stock item that a use was taken from: the item it names, or else the first of
// its type that was on the shelf at that time.
func (s State) resolve(u batch.StockUse) journal.ID {
	if it, known := s.Item(u.Stock); known && it.StockType == u.StockType {
		return u.Stock
	}
	var first *Item
	for i := range s.Items {
		it := &s.Items[i]
		if u.Stock != "" || it.StockType != u.StockType || it.KnownSince > u.At {
			continue
		}
		if first == nil || cmp.Or(cmp.Compare(it.KnownSince, first.KnownSince), cmp.Compare(it.ID, first.ID)) < 0 {
			first = it
		}
	}
	if first == nil {
		return ""
	}
	return first.ID
}

func compareMoves(a, b Move) int {
	return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(moveRank[a.Kind], moveRank[b.Kind]), cmp.Compare(a.FactID, b.FactID))
}

func (it Item) level() Level {
	l := Level{Item: it}
	for _, m := range it.Moves {
		switch m.Kind {
		case Bought:
			l.Amount += m.Amount
		case Counted:
			l.Amount = m.Amount
		default:
			l.Amount -= m.Amount
		}
		l.IsKnown = l.IsKnown || m.Kind == Bought || m.Kind == Counted
		if m.Batch != "" && m.Kind == Used {
			l.Used += m.Amount
		}
	}
	l.Amount = clean(l.Amount)
	return l
}

// UsedBy is what one batch used of it.
func (l Level) UsedBy(batch journal.ID) (amount float64) {
	for _, m := range l.Moves {
		if m.Kind == Used && m.Batch == batch {
			amount += m.Amount
		}
	}
	return amount
}

// clean rounds an amount to a thousandth of a gram, so that sums of decimal fractions print
// as they are.
func clean(v float64) float64 { return math.Round(v*1000) / 1000 }

// UnitPrice returns what a gram or a piece costs: by the last purchase that has a price.
func (it Item) UnitPrice() (price float64, currency string, ok bool) {
	for _, m := range slices.Backward(it.Moves) {
		if m.Kind == Bought && m.Price > 0 && m.Amount > 0 {
			return m.Price / m.Amount, m.Currency, true
		}
	}
	return 0, "", false
}

// JarAge returns how long ago the jar was opened; 0 where nobody said.
func (it Item) JarAge(now zone.Instant) zone.Span {
	if it.Opened == 0 {
		return 0
	}
	return max(0, now.Sub(it.Opened))
}
