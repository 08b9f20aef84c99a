package batch

import (
	"encoding/hex"
	"encoding/json"
	"sort"

	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// Fold works out the state of one batch from its facts, in any order and with
// any repetition. Facts of other scopes are passed over.
func Fold(facts []journal.Fact) State {
	all := journal.Ordered(facts)
	f := folder{
		State: State{Version: StateVersion, Numbers: journal.NumbersOf(all),
			Pieces: []Piece{}, Colours: []Colour{}, Soaks: []Soak{}, Jugs: []Jug{}, Bags: []Bag{}, Blanks: []Blank{}, Helpers: []Helper{}, Shares: []Share{}},
		things: map[journal.ID]*thing{}, printed: map[journal.Used]bool{},
		clocks: readClocks(all),
	}
	for _, x := range all {
		if id := x.Scope.Batch(); id != "" {
			f.ID, f.Last = id, x.ID
			f.Facts++
		}
		// Labels were printed with the secret, whether or not the start still holds.
		if b, ok := journal.Decode[journal.BatchStarted](x); ok && x.Kind == "batch.started" && f.Secret == "" && x.Fits() == nil {
			f.Secret = b.Secret
		}
	}
	for _, x := range journal.Live(all, owner(all)) {
		switch {
		case x.Scope.Batch() == "":
		case x.Need <= StateVersion && x.Fits() != nil:
			f.misfit(x)
		default:
			f.take(x)
		}
	}
	return f.finish()
}

// thing is a subject while its facts are read: what sort it is, its properties
// (the later stamp of each holds), and its facts that need this program newer.
type thing struct {
	sort   string
	props  map[string]json.RawMessage
	first  journal.Fact
	update bool
}

type folder struct {
	State
	things  map[journal.ID]*thing
	order   []journal.ID
	waits   []journal.Fact // facts of a thing, in order, read once all things are known
	clocks  clocks
	printed map[journal.Used]bool // numbers of blanks and tags
}

// begins names the sort of thing that a kind of fact begins.
var begins = map[string]string{
	"batch.started": "batch", "piece.added": "piece", "colour.chosen": "colour",
	"soak.mixed": "soak", "jug.mixed": "jug", "bag.closed": "bag",
}

func (f *folder) take(x journal.Fact) {
	_, known := journal.Find(x.Kind)
	switch sort := begins[x.Kind]; {
	case !known:
		f.Unknown++
	case sort != "" && f.things[x.Subject] == nil:
		f.things[x.Subject] = &thing{sort: sort, props: map[string]json.RawMessage{}, first: x}
		f.order = append(f.order, x.Subject)
	}
	f.waits = append(f.waits, x)
}

func (f *folder) finish() State {
	for _, x := range f.waits {
		t := f.things[x.Subject]
		if x.Need > StateVersion {
			if t != nil {
				t.update = true
			} else if x.Subject == f.ID {
				f.Update = true
			}
			continue
		}
		if t != nil && merges[x.Kind] == t.sort {
			merge(t.props, x.Body)
		}
	}
	for _, id := range f.order {
		f.make(id, f.things[id])
	}
	for _, x := range f.waits {
		if x.Need <= StateVersion && merges[x.Kind] == "" {
			f.happen(x)
		} else if merges[x.Kind] != "" && f.things[x.Subject] == nil {
			f.misfit(x)
		}
	}
	for i := range f.Bags {
		stays := f.Bags[i].Stays
		sort.SliceStable(stays, func(i, j int) bool { return stays[i].At < stays[j].At })
	}
	f.clashes()
	f.hang()
	return f.State
}

// merges names the sort of thing whose properties a kind of fact sets.
var merges = map[string]string{
	"batch.started": "batch", "batch.changed": "batch",
	"piece.added": "piece", "piece.changed": "piece",
	"colour.chosen": "colour", "colour.changed": "colour",
	"soak.mixed": "soak", "jug.mixed": "jug",
	"bag.closed": "bag", "bag.changed": "bag",
}

// merge lays the properties of body over props. Facts come in the order of their
// stamps, so the later holds, property by property.
func merge(props map[string]json.RawMessage, body json.RawMessage) {
	var set map[string]json.RawMessage
	if json.Unmarshal(body, &set) != nil {
		return
	}
	for k, v := range set {
		props[k] = v
	}
}

// decode reads props as T; a property that does not read leaves its zero.
func decode[T any](props map[string]json.RawMessage) T {
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

func (f *folder) make(id journal.ID, t *thing) {
	at, by := f.clocks.when(t.first)
	switch t.sort {
	case "batch":
		b := decode[journal.BatchStarted](t.props)
		f.Name, f.Note, f.For, f.Started = b.Name, b.Note, b.For, at
		f.Update = f.Update || t.update
	case "piece":
		b := decode[journal.PieceAdded](t.props)
		f.Pieces = append(f.Pieces, Piece{ID: id, Kind: b.Kind, Name: b.Name, Count: b.Count, Grams: b.Grams,
			Assumed: b.Assumed, Fibre: b.Fibre, Share: b.Share, Fold: b.Fold, Update: t.update})
	case "colour":
		b := decode[journal.ColourChosen](t.props)
		f.Colours = append(f.Colours, Colour{ID: id, Name: b.Name, Caps: b.Caps, RGB: b.RGB, Class: b.Class,
			Generic: b.Generic, Strength: b.Strength, Depth: b.Depth, ML: b.ML, Update: t.update})
	case "soak":
		b := decode[journal.SoakMixed](t.props)
		f.Soaks = append(f.Soaks, Soak{ID: id, Water: b.Water, Soda: b.Soda, Form: b.Form, Celsius: b.Celsius, Mixed: at, Update: t.update})
	case "jug":
		b := decode[journal.JugMixed](t.props)
		f.Jugs = append(f.Jugs, Jug{ID: id, Colour: b.Colour, Powder: b.Powder, ML: b.ML, Mixed: at, Update: t.update})
	case "bag":
		b := decode[journal.BagClosed](t.props)
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

func (f *folder) clashes() {
	seen := map[journal.Used]int{}
	for i := range f.Bags {
		b := &f.Bags[i]
		b.Token = f.token(b.ID)
		u := journal.Used{Number: b.Number, Letter: b.Letter}
		if j, twice := seen[u]; twice {
			b.Clash, f.Bags[j].Clash = true, true
		}
		seen[u] = i
	}
}

func (f *folder) misfit(x journal.Fact) { f.Misfits = append(f.Misfits, Misfit{x.ID, x.Kind}) }

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
		if x.Kind != journal.KindMeasured {
			continue
		}
		m, ok := journal.Decode[journal.Measured](x)
		if ok && m.Offset >= -journal.MaxOffset && m.Offset <= journal.MaxOffset {
			c[x.Device] = append(c[x.Device], measured{x.Stamp, x.At, m.Offset})
		}
	}
	return c
}

// when gives when a fact happened by the hub's clock, and what was added to the
// writer's own. Of what the writer had measured when it wrote and what it
// measured next, that counts which was measured nearer to the fact: a clock may
// have been set in between.
func (c clocks) when(x journal.Fact) (zone.Instant, zone.Span) {
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
	return min(max(0, x.At.Add(by)), journal.Last), by
}
