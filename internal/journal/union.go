package journal

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"
	"strings"
)

// SortedByStamp returns the facts once each in their one order: by stamp, then device,
// then id. Any order and any repetition of the same facts gives the same
// result. Of two texts under one id (which no honest phone writes) the smaller
// stays, wherever it came from.
func SortedByStamp(facts []Fact) []Fact {
	sorted := make([]*Fact, len(facts)) // a fact is too long to be moved about
	for i := range facts {
		sorted[i] = &facts[i]
	}
	slices.SortFunc(sorted, func(f, g *Fact) int {
		if c := strings.Compare(string(f.ID), string(g.ID)); c != 0 {
			return c
		}
		return bytes.Compare(f.Text(), g.Text())
	})
	sorted = slices.CompactFunc(sorted, func(f, g *Fact) bool { return f.ID == g.ID })
	slices.SortFunc(sorted, compareFacts)
	var out []Fact
	if len(sorted) > 0 {
		out = make([]Fact, len(sorted))
	}
	for i, f := range sorted {
		out[i] = *f
	}
	return out
}

// compareFacts compares two facts of different ids in their one order.
func compareFacts(f, g *Fact) int {
	switch {
	case f.Stamp.Less(g.Stamp):
		return -1
	case g.Stamp.Less(f.Stamp):
		return 1
	}
	return cmp.Or(strings.Compare(string(f.Device), string(g.Device)), strings.Compare(string(f.ID), string(g.ID)))
}

// Union joins two sets of facts. It is commutative, associative and idempotent.
func Union(a, b []Fact) []Fact {
	return SortedByStamp(append(append([]Fact(nil), a...), b...))
}

// Target returns the id of the fact that f takes back or restores, and false where f does neither.
func (f Fact) Target() (target ID, isTargeted bool) {
	if f.Kind != KindFactWithdrawn && f.Kind != KindFactRestored {
		return "", false
	}
	var t FactTarget
	err := json.Unmarshal(f.Body, &t)
	return t.Target, err == nil
}

// Effective returns, in order, the facts that hold: those not withdrawn, or restored
// since. A withdrawal may come before its target; it waits. Withdrawals
// themselves are left out, and by nobody can a withdrawal be withdrawn: that is
// what a restoring is for. Only the writer of a fact withdraws it, or owner,
// who may withdraw any; the same goes for restoring. owner says whether a
// device is the owner's; nil means every device is.
func Effective(facts []Fact, owner func(device ID) bool) []Fact {
	ordered := SortedByStamp(facts)
	writer := make(map[ID]ID, len(ordered))
	for _, f := range ordered {
		writer[f.ID] = f.Device
	}
	gone := map[ID]bool{}
	for _, f := range ordered {
		target, isTargeted := f.Target()
		if !isTargeted {
			continue
		}
		if w, here := writer[target]; here && w != f.Device && owner != nil && !owner(f.Device) {
			continue
		}
		gone[target] = f.Kind == KindFactWithdrawn
	}
	out := ordered[:0:0]
	for _, f := range ordered {
		if f.Kind == KindFactWithdrawn || f.Kind == KindFactRestored || gone[f.ID] {
			continue
		}
		out = append(out, f)
	}
	return out
}
