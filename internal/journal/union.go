package journal

import (
	"bytes"
	"encoding/json"
	"sort"
)

// Ordered gives the facts once each in their one order: by stamp, then device,
// then id. Any order and any repetition of the same facts gives the same
// result. Of two texts under one id (which no honest phone writes) the smaller
// stays, wherever it came from.
func Ordered(facts []Fact) []Fact {
	out := append([]Fact(nil), facts...)
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].ID != out[j].ID {
			return out[i].ID < out[j].ID
		}
		return bytes.Compare(out[i].Text(), out[j].Text()) < 0
	})
	kept := out[:0]
	for i, f := range out {
		if i == 0 || f.ID != out[i-1].ID {
			kept = append(kept, f)
		}
	}
	sort.SliceStable(kept, func(i, j int) bool { return kept[i].before(kept[j]) })
	return kept
}

func (f Fact) before(g Fact) bool {
	if f.Stamp != g.Stamp {
		return f.Stamp.Less(g.Stamp)
	}
	if f.Device != g.Device {
		return f.Device < g.Device
	}
	return f.ID < g.ID
}

// Union joins two sets of facts. It is commutative, associative and idempotent.
func Union(a, b []Fact) []Fact {
	return Ordered(append(append([]Fact(nil), a...), b...))
}

// Effective gives, in order, the facts that hold: those not withdrawn, or restored
// since. A withdrawal may come before its target; it waits. Withdrawals
// themselves are left out, and by nobody can a withdrawal be withdrawn: that is
// what a restoring is for. Only the writer of a fact withdraws it, or owner,
// who may withdraw any; the same goes for restoring. owner says whether a
// device is the owner's; nil means every device is.
func Effective(facts []Fact, owner func(device ID) bool) []Fact {
	ordered := Ordered(facts)
	writer := make(map[ID]ID, len(ordered))
	for _, f := range ordered {
		writer[f.ID] = f.Device
	}
	gone := map[ID]bool{}
	for _, f := range ordered {
		if f.Kind != KindFactWithdrawn && f.Kind != KindFactRestored {
			continue
		}
		var t FactTarget
		if json.Unmarshal(f.Body, &t) != nil {
			continue
		}
		if w, here := writer[t.Target]; here && w != f.Device && owner != nil && !owner(f.Device) {
			continue
		}
		gone[t.Target] = f.Kind == KindFactWithdrawn
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
