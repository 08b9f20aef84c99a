package batch

import (
	"encoding/hex"
	"encoding/json"
	"sort"

	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// Build works out the state of one batch from its facts, in any order and with
// any repetition. Facts of other scopes are passed over.
func Build(facts []journal.Fact) State {
	all := journal.Ordered(facts)
	f := builder{
		State: State{Version: StateVersion, Numbers: journal.NumbersOf(all),
			Pieces: []Piece{}, Colours: []Colour{}, Soaks: []Soak{}, Jugs: []Jug{}, Bags: []Bag{}, Blanks: []Blank{}, Helpers: []Helper{}, Shares: []Share{}},
		entities: map[journal.ID]*entity{}, printed: map[journal.UsedNumber]bool{},
		clocks: readClocks(all),
	}
	for _, x := range all {
		if id := x.Scope.Batch(); id != "" {
			f.ID, f.Last = id, x.ID
			f.Facts++
		}
		// Labels were printed with the secret, whether or not the start still holds.
		if b, ok := journal.DecodeBody[journal.BatchStarted](x); ok && x.Kind == "batch.started" && f.Secret == "" && x.CheckBody() == nil {
			f.Secret = b.Secret
		}
	}
	for _, x := range journal.Effective(all, ownersOf(all)) {
		switch {
		case x.Scope.Batch() == "":
		case x.Need <= StateVersion && x.CheckBody() != nil:
			f.unapplied(x)
		default:
			f.add(x)
		}
	}
	return f.build()
}

// entity is a subject while its facts are read: what sort it is, its properties
// (the later stamp of each holds), and its facts that need this program newer.
type entity struct {
	kind   string
	props  map[string]json.RawMessage
	first  journal.Fact
	update bool
}

type builder struct {
	State
	entities map[journal.ID]*entity
	order    []journal.ID
	facts    []journal.Fact // facts of a thing, in order, read once all things are known
	clocks   clocks
	printed  map[journal.UsedNumber]bool // numbers of blanks and tags
}

// entityBegunBy names the sort of thing that a kind of fact begins.
var entityBegunBy = map[string]string{
	"batch.started": "batch", "piece.added": "piece", "colour.chosen": "colour",
	"soak.mixed": "soak", "jug.mixed": "jug", "bag.closed": "bag",
}

func (f *builder) add(x journal.Fact) {
	_, known := journal.FindKind(x.Kind)
	switch sort := entityBegunBy[x.Kind]; {
	case !known:
		f.Unknown++
	case sort != "" && f.entities[x.Subject] == nil:
		f.entities[x.Subject] = &entity{kind: sort, props: map[string]json.RawMessage{}, first: x}
		f.order = append(f.order, x.Subject)
	}
	f.facts = append(f.facts, x)
}

func (f *builder) build() State {
	for _, x := range f.facts {
		t := f.entities[x.Subject]
		if x.Need > StateVersion {
			if t != nil {
				t.update = true
			} else if x.Subject == f.ID {
				f.Update = true
			}
			continue
		}
		if t != nil && entitySetBy[x.Kind] == t.kind {
			mergeProps(t.props, x.Body)
		}
	}
	for _, id := range f.order {
		f.buildEntity(id, f.entities[id])
	}
	for _, x := range f.facts {
		if x.Need <= StateVersion && entitySetBy[x.Kind] == "" {
			f.apply(x)
		} else if entitySetBy[x.Kind] != "" && f.entities[x.Subject] == nil {
			f.unapplied(x)
		}
	}
	for i := range f.Bags {
		stays := f.Bags[i].Stays
		sort.SliceStable(stays, func(i, j int) bool { return stays[i].At < stays[j].At })
	}
	f.findClashes()
	f.attachLabels()
	return f.State
}

// entitySetBy names the sort of thing whose properties a kind of fact sets.
var entitySetBy = map[string]string{
	"batch.started": "batch", "batch.changed": "batch",
	"piece.added": "piece", "piece.changed": "piece",
	"colour.chosen": "colour", "colour.changed": "colour",
	"soak.mixed": "soak", "jug.mixed": "jug",
	"bag.closed": "bag", "bag.changed": "bag",
}

// mergeProps lays the properties of body over props. Facts come in the order of their
// stamps, so the later holds, property by property.
func mergeProps(props map[string]json.RawMessage, body json.RawMessage) {
	var set map[string]json.RawMessage
	if json.Unmarshal(body, &set) != nil {
		return
	}
	for k, v := range set {
		props[k] = v
	}
}

// decodeProps reads props as T; a property that does not read leaves its zero.
func decodeProps[T any](props map[string]json.RawMessage) T {
	var out T
	whole, err := json.Marshal(props)
	if err != nil || json.Unmarshal(whole, &out) == nil {
		return out
	}
	out = *new(T)
	for k, v := range props {
		if one, err := json.Marshal(map[string]json.RawMessage{k: v}); err == nil {
			_ = json.Unmarshal(one, &out) // a property that does not read leaves its zero
		}
	}
	return out
}

func (f *builder) buildEntity(id journal.ID, t *entity) {
	at, by := f.clocks.correctedTime(t.first)
	switch t.kind {
	case "batch":
		b := decodeProps[journal.BatchStarted](t.props)
		f.Name, f.Note, f.For, f.Started = b.Name, b.Note, b.For, at
		f.Update = f.Update || t.update
	case "piece":
		b := decodeProps[journal.PieceAdded](t.props)
		f.Pieces = append(f.Pieces, Piece{ID: id, Kind: b.Kind, Name: b.Name, Count: b.Count, Grams: b.Grams,
			Assumed: b.Assumed, Fibre: b.Fibre, Share: b.Share, Fold: b.Fold, Update: t.update})
	case "colour":
		b := decodeProps[journal.ColourChosen](t.props)
		f.Colours = append(f.Colours, Colour{ID: id, Name: b.Name, Caps: b.Caps, RGB: b.RGB, Class: b.Class,
			Generic: b.Generic, Strength: b.Strength, Depth: b.Depth, ML: b.ML, Update: t.update})
	case "soak":
		b := decodeProps[journal.SoakMixed](t.props)
		f.Soaks = append(f.Soaks, Soak{ID: id, Water: b.Water, Soda: b.Soda, Form: b.Form, Celsius: b.Celsius, Mixed: at, Update: t.update})
	case "jug":
		b := decodeProps[journal.JugMixed](t.props)
		f.Jugs = append(f.Jugs, Jug{ID: id, Colour: b.Colour, Powder: b.Powder, ML: b.ML, Mixed: at, Update: t.update})
	case "bag":
		b := decodeProps[journal.BagClosed](t.props)
		f.Bags = append(f.Bags, Bag{ID: id, Number: b.Number, Letter: b.Letter, Pieces: b.Pieces, Colours: b.Colours,
			Fold: b.Fold, Note: b.Note, Closed: at, Corrected: by, TZ: t.first.TZ, Device: t.first.Device,
			Stays: []Stay{{At: at, Place: b.Place, Celsius: b.Celsius}}, Update: t.update})
	}
}

// token derives what the bag's label carries from the batch's secret, so that
// any phone of the batch can print it.
func (s *State) token(bag journal.ID) string {
	t := label.MakeToken(s.Secret.Bytes(), bag.Bytes())
	return hex.EncodeToString(t[:])
}

func (f *builder) findClashes() {
	seen := map[journal.UsedNumber]int{}
	for i := range f.Bags {
		b := &f.Bags[i]
		b.Token = f.token(b.ID)
		u := journal.UsedNumber{Number: b.Number, Letter: b.Letter}
		if j, twice := seen[u]; twice {
			b.Clash, f.Bags[j].Clash = true, true
		}
		seen[u] = i
	}
}

func (f *builder) unapplied(x journal.Fact) {
	f.Unapplied = append(f.Unapplied, UnappliedFact{x.ID, x.Kind})
}

// clocks are the offsets that devices measured, in order.
type clocks map[journal.ID][]measured

type measured struct {
	stamp  journal.Stamp
	at     zone.Instant // by the device's own clock
	offset zone.Span
}

func readClocks(ordered []journal.Fact) clocks {
	c := clocks{}
	for _, x := range ordered {
		if x.Kind != journal.KindClockMeasured {
			continue
		}
		m, ok := journal.DecodeBody[journal.ClockMeasured](x)
		if ok && m.Offset >= -journal.MaxClockOffset && m.Offset <= journal.MaxClockOffset {
			c[x.Device] = append(c[x.Device], measured{x.Stamp, x.At, m.Offset})
		}
	}
	return c
}

// correctedTime gives when a fact happened by the hub's clock, and what was added to the
// writer's own. Of what the writer had measured when it wrote and what it
// measured next, that counts which was measured nearer to the fact: a clock may
// have been set in between.
func (c clocks) correctedTime(x journal.Fact) (zone.Instant, zone.Span) {
	var by zone.Span
	if x.Clock != nil {
		by = x.Clock.Offset
	}
	for _, m := range c[x.Device] {
		if x.Stamp.Less(m.stamp) {
			if x.Clock == nil || m.at.Sub(x.At) < x.Clock.Age {
				by = m.offset
			}
			break
		}
	}
	if by > -journal.ClockSlack && by < journal.ClockSlack {
		return x.At, 0
	}
	return min(max(0, x.At.Add(by)), journal.MaxTime), by
}
