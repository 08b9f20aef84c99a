package shelf

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// house is phones that record what they do, each with the facts that it has, and beside them
// a plain account of what was done. The account is in hundredths of a gram and uses nothing of
// this package.
type house struct {
	t       interface{ Fatal(...any) }
	n       int // of ids
	now     zone.Instant
	phones  []*phone
	account []event
	gone    map[journal.ID]bool // batches that some phone removed
}

type phone struct {
	device journal.ID
	facts  []journal.Fact
	gone   map[journal.ID]bool // batches that it knows to be removed
}

// event is something that moved an amount, as a person would note it in a book.
type event struct {
	item    journal.ID
	what    string
	amount  int // 0.01 g
	at      zone.Instant
	fact    journal.ID
	batch   journal.ID
	planned journal.ID // the batch that took it off as planned, unrecorded
	undone  bool
	isSaved bool // a phone that removed the batch kept it
}

func (h *house) id() journal.ID {
	h.n++
	var b [16]byte
	b[14], b[15], b[0] = byte(h.n>>8), byte(h.n), 1
	return journal.NewID(b)
}

func (h *house) write(p *phone, d journal.Draft) journal.Fact {
	h.now = h.now.Add(zone.Minute)
	a := journal.Author{Device: p.device, Now: h.now, TZ: "UTC", Random: func(b []byte) {
		id := h.id().Bytes()
		copy(b, id[:])
	}}
	for _, f := range p.facts {
		if a.LatestStamp.Less(f.Stamp) {
			a.LatestStamp = f.Stamp
		}
	}
	facts, err := a.MakeFacts([]journal.Draft{d})
	if err != nil {
		h.t.Fatal(err)
	}
	p.facts = append(p.facts, facts...)
	return facts[0]
}

func body(v any) json.RawMessage {
	text, _ := json.Marshal(v)
	return text
}

// usesOf returns what the batches that a phone has used.
func (p *phone) usesOf() (all []BatchUses) {
	byBatch := map[journal.ID][]journal.Fact{}
	for _, f := range p.facts {
		if id := f.Scope.Batch(); id != "" {
			byBatch[id] = append(byBatch[id], f)
		}
	}
	for id, facts := range byBatch {
		all = append(all, BatchUses{id, batch.Build(facts).Uses})
	}
	return all
}

// removeBatch removes a batch for good from a phone.
func (h *house) removeBatch(p *phone, id journal.ID) {
	p.gone[id], h.gone[id] = true, true
	for _, b := range p.usesOf() {
		if b.Batch != id {
			continue
		}
		drafts, err := Settle(Build(p.facts), b)
		if err != nil {
			h.t.Fatal(err)
		}
		for _, d := range drafts {
			h.write(p, d)
		}
	}
	has := map[journal.ID]bool{}
	for _, f := range journal.Effective(p.facts, nil) {
		has[f.ID] = true
	}
	for i, e := range h.account {
		if e.batch == id && has[e.fact] {
			h.account[i].isSaved = true
		}
	}
	p.facts = slices.DeleteFunc(p.facts, func(f journal.Fact) bool { return f.Scope.Batch() == id })
}

// meet returns both phones what the other has; what either removed is removed from both.
func (h *house) meet(p, q *phone) {
	for _, pair := range [][2]*phone{{p, q}, {q, p}} {
		for id := range pair[0].gone {
			if !pair[1].gone[id] {
				h.removeBatch(pair[1], id)
			}
		}
	}
	all := journal.Union(p.facts, q.facts)
	p.facts, q.facts = slices.Clone(all), slices.Clone(all)
}

// balance is the account's own sum of a thing.
func (h *house) balance(item journal.ID) (hundredths int) {
	list := slices.DeleteFunc(slices.Clone(h.account), func(e event) bool {
		lost := e.batch != "" && h.gone[e.batch]
		return e.item != item || !e.isSaved && (e.undone || lost)
	})
	list = slices.DeleteFunc(slices.Clone(list), func(e event) bool {
		return e.planned != "" && slices.ContainsFunc(list, func(o event) bool {
			return o.batch == e.planned && o.amount > 0 || o.planned == e.planned && o.fact < e.fact // recorded after all, or said twice
		})
	})
	rank := map[string]int{Bought: 0, Used: 1, Thrown: 1, Counted: 2}
	slices.SortStableFunc(list, func(a, b event) int {
		if a.at != b.at {
			return int(a.at - b.at)
		}
		return rank[a.what] - rank[b.what]
	})
	for _, e := range list {
		switch e.what {
		case Bought:
			hundredths += e.amount
		case Counted:
			hundredths = e.amount
		default:
			hundredths -= e.amount
		}
	}
	return hundredths
}

// Over three batches, undo, two phones that meet, both of which mixed, batches that were dyed as
// planned without being recorded, and batches that are removed for good, every phone ends at the
// amount that the account has, to a hundredth of a gram, in whatever order it got the facts.
func TestAmountsAreRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := &house{t: t, now: 1_780_000_000_000, gone: map[journal.ID]bool{}}
		for range 2 {
			h.phones = append(h.phones, &phone{device: h.id(), gone: map[journal.ID]bool{}})
		}
		first := h.phones[0]
		rust, blue, soda := h.id(), h.id(), h.id()
		for _, it := range []struct {
			id   journal.ID
			sort string
		}{{rust, "dye"}, {blue, "dye"}, {soda, "alkali"}} {
			h.write(first, journal.Draft{Scope: journal.ShelfScope, Subject: it.id, Kind: journal.KindStockKnown, Body: body(journal.StockDescribed{Name: "it", StockType: it.sort})})
		}
		type started struct {
			id    journal.ID
			soak  journal.ID
			shade map[journal.ID]journal.ID // colours, by powder
		}
		var batches []started
		for range 3 {
			b := started{id: h.id(), soak: h.id(), shade: map[journal.ID]journal.ID{rust: h.id(), blue: h.id()}}
			scope := journal.BatchScope(b.id)
			h.write(first, journal.Draft{Scope: scope, Subject: b.id, Kind: journal.KindBatchStarted, Body: body(journal.BatchStarted{Name: "b", Secret: h.id()})})
			for powder, colour := range b.shade {
				h.write(first, journal.Draft{Scope: scope, Subject: colour, Kind: journal.KindColourChosen, Body: body(journal.ColourChosen{Name: "c", CapLetters: "CC",
					RGB: "#000000", Class: "unknown", Strength: 25, Depth: 1, ColourMore: journal.ColourMore{Stock: powder}})})
			}
			batches = append(batches, b)
		}
		h.meet(first, h.phones[1])
		h.now = h.now.Add(zone.Hour) // what follows is not said to have been before the things were there
		for range rapid.IntRange(5, 40).Draw(t, "steps") {
			p := h.phones[rapid.IntRange(0, 1).Draw(t, "phone")]
			item := rapid.SampledFrom([]journal.ID{rust, blue, soda}).Draw(t, "thing")
			amount := rapid.IntRange(0, 20000).Draw(t, "amount")
			grams := float64(amount) / 100
			e := event{item: item, amount: amount}
			note := func(d journal.Draft) {
				if rapid.IntRange(0, 2).Draw(t, "when") == 0 {
					d.At = h.now.Add(-zone.Span(rapid.IntRange(1, 30).Draw(t, "minutes ago")) * zone.Minute)
				}
				f := h.write(p, d)
				e.fact, e.at = f.ID, f.At
				h.account = append(h.account, e)
			}
			switch rapid.IntRange(0, 10).Draw(t, "act") {
			case 0, 1, 2:
				b := batches[rapid.IntRange(0, 2).Draw(t, "batch")]
				if p.gone[b.id] {
					continue
				}
				e.what, e.batch = Used, b.id
				if item == soda {
					note(journal.Draft{Scope: journal.BatchScope(b.id), Kind: journal.KindSoakMixed, Body: body(journal.SoakMixed{WaterML: 2000, SodaGrams: grams})})
				} else {
					note(journal.Draft{Scope: journal.BatchScope(b.id), Kind: journal.KindJugMixed, Body: body(journal.JugMixed{Colour: b.shade[item], PowderGrams: grams, VolumeML: 250})})
				}
			case 3, 4, 5:
				kind := rapid.SampledFrom([]string{journal.KindStockBought, journal.KindStockCounted, journal.KindStockThrown, journal.KindStockUsed}).Draw(t, "kind")
				e.what = moveOf[kind]
				note(journal.Draft{Scope: journal.ShelfScope, Subject: item, Kind: kind, Body: body(journal.StockMoved{Amount: grams})})
			case 6, 7:
				has := map[journal.ID]journal.Fact{}
				for _, f := range journal.Effective(p.facts, nil) {
					has[f.ID] = f
				}
				var can []int
				for i, e := range h.account {
					if _, is := has[e.fact]; is {
						can = append(can, i)
					}
				}
				if len(can) > 0 {
					i := rapid.SampledFrom(can).Draw(t, "undo")
					f := has[h.account[i].fact]
					h.write(p, journal.Draft{Scope: f.Scope, Subject: f.Subject, Kind: journal.KindFactWithdrawn, Body: body(journal.FactTarget{Target: f.ID})})
					h.account[i].undone = true
				}
			case 10:
				b := batches[rapid.IntRange(0, 2).Draw(t, "forgotten")]
				if p.gone[b.id] {
					continue
				}
				of := b.id
				if item != soda {
					of = b.shade[item]
				}
				e.what, e.planned = Used, b.id
				note(journal.Draft{Scope: journal.ShelfScope, Subject: item, Kind: journal.KindStockUsed, Body: body(journal.StockMoved{Amount: grams, Batch: b.id, CauseID: of})})
			case 8:
				h.meet(h.phones[0], h.phones[1])
			case 9:
				if b := batches[rapid.IntRange(0, 2).Draw(t, "removed")]; !p.gone[b.id] && rapid.IntRange(0, 3).Draw(t, "really") == 0 {
					h.removeBatch(p, b.id)
				}
			}
		}
		h.meet(h.phones[0], h.phones[1])
		h.meet(h.phones[0], h.phones[1]) // the second time brings what was written at the first
		for i, p := range h.phones {
			facts := slices.Clone(p.facts)
			seed := uint64(rapid.IntRange(1, 1<<30).Draw(t, "order"))
			for j := range facts {
				seed = seed*6364136223846793005 + 1442695040888963407
				k := j + int(seed>>33)%(len(facts)-j)
				facts[j], facts[k] = facts[k], facts[j]
			}
			shuffled := &phone{facts: append(facts, facts[:len(facts)/3]...)} // some twice
			for _, l := range Count(Build(shuffled.facts), shuffled.usesOf()) {
				if want := float64(h.balance(l.ID)) / 100; math.Abs(l.Amount-want) > 1e-6 {
					t.Fatalf("phone %d has %v of a %s, the account %v", i, l.Amount, l.StockType, want)
				}
			}
		}
	})
}

// The amounts of one afternoon, spelled out.
func TestCount(t *testing.T) {
	const noon = zone.Instant(1_780_000_000_000)
	at := func(minutes int) zone.Instant { return noon.Add(zone.Span(minutes) * zone.Minute) }
	item := func(sort string, moves ...Move) Item {
		return Item{ID: journal.NewID([16]byte{9, sort[0]}), StockDescribed: journal.StockDescribed{Name: sort, StockType: sort}, KnownSince: at(0), Moves: sortMoves(moves)}
	}
	move := func(n byte, what string, minutes int, amount float64) Move {
		return Move{FactID: journal.NewID([16]byte{n}), Kind: what, Amount: amount, At: at(minutes)}
	}
	for _, c := range []struct {
		why   string
		moves []Move
		uses  []batch.StockUse
		want  float64
		known bool
	}{
		{"nothing is known", nil, nil, 0, false},
		{"bought, used, thrown away", []Move{move(1, Bought, 1, 100), move(2, Used, 2, 8.1), move(3, Thrown, 3, 1.9)}, nil, 90, true},
		{"a count replaces what was before", []Move{move(1, Bought, 1, 100), move(2, Counted, 5, 42)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 30, At: at(3)}}, 42, true},
		{"what is used after a count comes off it", []Move{move(2, Counted, 5, 42)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 30, At: at(6)}}, 12, true},
		{"a count at the same moment comes last", []Move{move(2, Counted, 5, 42)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 30, At: at(5)}}, 42, true},
		{"one fact given by two batches counts once", []Move{move(1, Bought, 1, 50)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 20, At: at(6)}, {FactID: "a", StockType: "dye", Amount: 20, At: at(6)}}, 30, true},
		{"tenths add up", []Move{move(1, Bought, 1, 0.3)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 0.1, At: at(6)}, {FactID: "b", StockType: "dye", Amount: 0.2, At: at(6)}}, 0, true},
		{"more is used than came", []Move{move(1, Bought, 1, 5)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 8, At: at(6)}}, -3, true},
		{"another sort does not come off it", []Move{move(1, Bought, 1, 5)}, []batch.StockUse{{FactID: "a", StockType: "alkali", Amount: 8, At: at(6)}}, 5, true},
		{"used before it was on the shelf", []Move{move(1, Bought, 1, 5)}, []batch.StockUse{{FactID: "a", StockType: "dye", Amount: 1, At: at(-9)}}, 5, true},
	} {
		got := Count(State{Items: []Item{item("dye", c.moves...)}}, []BatchUses{{"b", c.uses}})[0]
		if got.Amount != c.want || got.IsKnown != c.known {
			t.Errorf("%s: %v, known %v; want %v, %v", c.why, got.Amount, got.IsKnown, c.want, c.known)
		}
	}
}

// Properties of a thing are the later ones, each by itself; what is taken off the shelf says so.
func TestBuild(t *testing.T) {
	fact := func(n int, kind, subject, body string) journal.Fact {
		return journal.Fact{ID: journal.NewID([16]byte{byte(n)}), Stamp: journal.Stamp{Milliseconds: zone.Instant(n)}, Device: "d", Scope: journal.ShelfScope,
			Subject: journal.ID(subject), Kind: kind, Version: 1, NeededVersion: 1, At: zone.Instant(n), Body: json.RawMessage(body)}
	}
	subject := string(journal.NewID([16]byte{77}))
	facts := []journal.Fact{
		fact(1, journal.KindStockChanged, subject, `{"lot":"earlier stamp"}`),
		fact(2, journal.KindStockKnown, subject, `{"name":"rust","sort":"dye","class":"dichlorotriazine","strength":40}`),
		fact(3, journal.KindStockChanged, subject, `{"strength":34}`),
		fact(4, journal.KindStockChanged, subject, `{"gone":true}`),
		fact(5, journal.KindSumsSet, subject, `{"currency":"EUR","hardness":0}`),
		fact(6, journal.KindSumsSet, subject, `{"hourly":15}`),
		fact(7, journal.KindStockKnown, subject, `{"name":"no such sort","sort":"soup"}`),
	}
	slices.Reverse(facts)
	s := Build(facts)
	if len(s.Items) != 1 {
		t.Fatalf("%d things, want 1: %+v", len(s.Items), s.Items)
	}
	it := s.Items[0]
	if it.Name != "rust" || it.Lot != "earlier stamp" || *it.Strength != 34 || !it.IsGone || it.KnownSince != 2 {
		t.Errorf("got %+v", it)
	}
	if got := fmt.Sprint(s.Sums); got != fmt.Sprint(Sums{Currency: "EUR", Hourly: 15, HasHardness: true}) {
		t.Errorf("sums %s", got)
	}
	if !s.Kit.HasWater || s.Kit.ScaleStep != 0 {
		t.Errorf("kit %+v", s.Kit)
	}
	if s.FactCount != 7 || !strings.HasPrefix(string(s.LastFact), string(facts[0].ID)) {
		t.Errorf("%d facts, the last %s", s.FactCount, s.LastFact)
	}
}

// The price of a gram is that of the last purchase that has one.
func TestUnitPrice(t *testing.T) {
	it := Item{Moves: []Move{{Kind: Bought, Amount: 50, Price: 10, Currency: "EUR"}, {Kind: Bought, Amount: 100, Price: 15, Currency: "EUR"}, {Kind: Bought, Amount: 20}}}
	if p, c, ok := it.UnitPrice(); p != 0.15 || c != "EUR" || !ok {
		t.Errorf("%v %s %v, want 0.15 EUR", p, c, ok)
	}
	if _, _, ok := (Item{}).UnitPrice(); ok {
		t.Error("a thing that was never bought has a price")
	}
}

// Powder added to a jug came off the shelf like that which it was mixed with, and neither did once
// the jug is taken back.
func TestToppingUpIsUsed(t *testing.T) {
	h := &house{t: t, now: 1_770_000_000_000}
	p := &phone{device: h.id()}
	scope, item, colour, jug := journal.BatchScope(h.id()), h.id(), h.id(), h.id()
	h.write(p, journal.Draft{Scope: scope, Subject: scope.Batch(), Kind: journal.KindBatchStarted, Body: body(journal.BatchStarted{Name: "one", Secret: h.id()})})
	h.write(p, journal.Draft{Scope: scope, Subject: colour, Kind: journal.KindColourChosen, Body: body(journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1, ColourMore: journal.ColourMore{Stock: item}})})
	mixed := h.write(p, journal.Draft{Scope: scope, Subject: jug, Kind: journal.KindJugMixed, Body: body(journal.JugMixed{Colour: colour, PowderGrams: 6, VolumeML: 250})})
	h.write(p, journal.Draft{Scope: scope, Subject: jug, Kind: journal.KindJugTopped, Body: body(journal.JugTopped{PowderGrams: 1.5})})
	used := func() (total float64) {
		for _, b := range p.usesOf() {
			for _, u := range b.Uses {
				if u.Stock == item {
					total += u.Amount
				}
			}
		}
		return total
	}
	if g := used(); g != 7.5 {
		t.Errorf("%v g used, want 7.5", g)
	}
	h.write(p, journal.Draft{Scope: scope, Subject: jug, Kind: journal.KindFactWithdrawn, Body: body(journal.FactTarget{Target: mixed.ID})})
	if g := used(); g != 0 {
		t.Errorf("%v g used of a jug that was taken back", g)
	}
}
