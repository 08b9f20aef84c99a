package hub

import (
	"encoding/json"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// expectedAccess is who should have access to what, worked out by simple means.
type expectedAccess struct {
	owners, removedPhones map[*networkPhone]bool
	helpedBatches         map[*networkPhone]map[journal.ID]bool // batches that it may help with, by the facts
	joinedBatches         map[*networkPhone]map[journal.ID]bool // by what its token was given for
	openCodes             map[string]journal.ID                 // codes that let helpers in
	usedCodes             map[*networkPhone]map[journal.ID]bool // batches whose code it used
	pairedAt              map[*networkPhone]zone.Instant        // when it got a token for a code, as itself
	lastExchange          map[*networkPhone]zone.Instant        // its last exchange
}

// endKnownCodes ends the codes that a phone knew.
func (r expectedAccess) endKnownCodes(g *networkPhone) {
	for code, id := range r.openCodes {
		if r.owners[g] || len(r.usedCodes[g]) == 0 || r.usedCodes[g][id] {
			delete(r.openCodes, code)
		}
	}
}

func (r expectedAccess) wantAsker(g *networkPhone) rights.Asker {
	switch {
	case g.token == "":
		return rights.Asker{Role: rights.Stranger}
	case r.removedPhones[g]:
		return rights.Asker{Role: rights.Stranger, Device: g.Device, Revoked: true}
	case r.owners[g]:
		return rights.Asker{Role: rights.Owner, Device: g.Device}
	}
	who := rights.Asker{Role: rights.Helper, Device: g.Device}
	for id := range r.helpedBatches[g] {
		if r.joinedBatches[g][id] {
			who.Batches = append(who.Batches, id)
		}
	}
	if len(who.Batches) == 0 {
		return rights.Asker{Role: rights.Stranger, Device: g.Device, Revoked: true}
	}
	return who
}

// In whatever order phones are removed and given access again, each has the right role
// and sees only what it should, and no acknowledged or waiting fact is lost.
func TestRandomRemovalsAndReturns(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		h := newTestHub(t)
		house := h.addOwner(t) // stays the owner's throughout
		batches := []journal.ID{h.startBatch(t, house, "market"), h.startBatch(t, house, "gifts")}
		guests := []*networkPhone{h.newUnpairedPhone(), h.newUnpairedPhone(), h.newUnpairedPhone()}
		want := expectedAccess{map[*networkPhone]bool{}, map[*networkPhone]bool{}, map[*networkPhone]map[journal.ID]bool{}, map[*networkPhone]map[journal.ID]bool{}, map[string]journal.ID{},
			map[*networkPhone]map[journal.ID]bool{}, map[*networkPhone]zone.Instant{}, map[*networkPhone]zone.Instant{}}
		for _, g := range guests {
			want.helpedBatches[g], want.joinedBatches[g], want.usedCodes[g] = map[journal.ID]bool{}, map[journal.ID]bool{}, map[journal.ID]bool{}
		}
		var codes []string
		revoked := map[*networkPhone]journal.Fact{}
		var kept []journal.Fact // acknowledged, or waiting for the owner

		for range rapid.IntRange(5, 40).Draw(r, "steps") {
			h.now = h.now.Add(zone.Second)
			g := guests[rapid.IntRange(0, 2).Draw(r, "phone")]
			id := batches[rapid.IntRange(0, 1).Draw(r, "batch")]
			h.mustSyncPhone(t, house) // it knows what is there when it writes
			switch rapid.IntRange(0, 7).Draw(r, "what") {
			case 0:
				code := h.shareBatch(t, house, id, 0)
				codes, want.openCodes[code] = append(codes, code), id
			case 1:
				h.recordFact(t, house, journal.BatchScope(id), id, journal.KindShareClosed, struct{}{})
				for code, of := range want.openCodes {
					if of == id {
						delete(want.openCodes, code)
					}
				}
				for _, g := range guests {
					delete(want.helpedBatches[g], id)
				}
			case 2:
				if len(codes) == 0 {
					break
				}
				code := codes[rapid.IntRange(0, len(codes)-1).Draw(r, "code")]
				own := g.token != "" && rapid.Bool().Draw(r, "shows its token")
				come := &networkPhone{testPhone: g.testPhone}
				if own {
					come.token = g.token
				}
				of, open := want.openCodes[code]
				_, err := h.pair(come, code)
				isLost := want.lastExchange[g] <= want.pairedAt[g] // the answer with its token may be
				if may := open && !want.removedPhones[g] && (own || !want.owners[g] && (g.token == "" || isLost)); (err == nil) != may {
					r.Fatalf("let in %v, want %v: %v", err == nil, may, err)
				}
				if err != nil {
					break
				}
				if own || g.token == "" {
					want.pairedAt[g] = h.now
				}
				g.token = come.token
				if !want.owners[g] {
					want.usedCodes[g][of] = true
					if !own {
						want.joinedBatches[g] = map[journal.ID]bool{}
					}
					want.joinedBatches[g][of], want.helpedBatches[g][of] = true, true
				}
			case 3:
				h.mustPair(t, g, h.mustInvite(t).Digits)
				want.owners[g], want.removedPhones[g] = true, false
				want.helpedBatches[g], want.joinedBatches[g] = map[journal.ID]bool{}, map[journal.ID]bool{}
				delete(revoked, g)
			case 4:
				if want.removedPhones[g] {
					f := revoked[g]
					h.recordFact(t, house, journal.HouseScope, g.Device, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID})
					want.removedPhones[g] = false
				} else {
					revoked[g] = h.recordFact(t, house, journal.HouseScope, g.Device, kindRevoked, struct{}{})
					want.removedPhones[g] = true
					want.endKnownCodes(g)
				}
			case 5:
				h.open(t)
			default:
				who := want.wantAsker(g)
				f := g.write(t, remarkDraft(id, "n"))[0]
				a, err := h.Exchange(ctx, h.askerOf(g), exchange.Request{Device: g.Device, Facts: []json.RawMessage{f.Text()}})
				g.unsentFacts = nil
				switch {
				case who.Role == rights.Owner || slices.Contains(who.Batches, id):
					if err != nil || !slices.Contains(a.Acks, f.ID) {
						r.Fatalf("not taken: %+v %v", a, err)
					}
					kept = append(kept, f)
				case who.Role == rights.Helper:
					if err != nil || len(a.Refused) != 1 {
						r.Fatalf("not refused: %+v %v", a, err)
					}
				case !fault.Is(err, fault.Refused):
					r.Fatalf("not refused: %+v %v", a, err)
				case want.joinedBatches[g][id] || want.owners[g]:
					kept = append(kept, f)
				}
			}
			for _, g := range guests {
				got, should := h.askerOf(g), want.wantAsker(g)
				slices.Sort(got.Batches)
				slices.Sort(should.Batches)
				if got.Role != should.Role || got.Device != should.Device || got.Revoked != should.Revoked || !slices.Equal(got.Batches, should.Batches) {
					r.Fatalf("is %+v, should be %+v", got, should)
				}
				if got.Role != rights.Helper && got.Role != rights.Owner {
					continue
				}
				a, err := h.Exchange(ctx, got, exchange.Request{Device: g.Device})
				if err != nil || a.HasMore {
					r.Fatal(a, err)
				}
				want.lastExchange[g] = h.now
				n := 0
				for _, f := range h.facts {
					if got.Role == rights.Owner || slices.Contains(got.Batches, f.Scope.Batch()) {
						n++
					}
				}
				for _, f := range a.Facts {
					if got.Role == rights.Helper && !slices.Contains(got.Batches, f.Scope.Batch()) {
						r.Fatalf("a helper was given %s", f.Text())
					}
				}
				if len(a.Facts) != n {
					r.Fatalf("was given %d facts of %d", len(a.Facts), n)
				}
			}
		}
		for _, g := range guests {
			if _, err := h.Accept(ctx, h.LocalAsker(), g.Device, 0); err != nil {
				r.Fatal(err)
			}
		}
		for _, f := range kept {
			if !h.hasFact(f) {
				r.Fatalf("lost %s", f.Text())
			}
		}
	})
}
