package batch

import (
	"encoding/hex"
	"encoding/json"
	"sort"

	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// BuildAsOf is Build at a time by the hub's clock: facts whose stamps are ahead of it count
// as the earliest, until their time comes.
func BuildAsOf(facts []journal.Fact, now zone.Instant) State {
	facts, until := journal.OrderAheadFirst(facts, now)
	s := Build(facts)
	s.ValidUntil = until
	return s
}

// Build works out the state of one batch from its facts, which may come in any order
// and more than once. It ignores facts of other scopes.
func Build(facts []journal.Fact) State {
	all := journal.SortedByStamp(facts)
	isOwner := ownersOf(all)
	effective := journal.Effective(all, isOwner)
	b := builder{
		State: State{Version: CacheVersion, Numbers: journal.CollectNumbers(all, effective, isOwner),
			Pieces: []Piece{}, Colours: []Colour{}, Soaks: []Soak{}, Jugs: []Jug{}, Bags: []Bag{}, Blanks: []BlankLabel{}, Helpers: []Helper{}, ShareCodes: []ShareCode{}},
		entities: map[journal.ID]*entity{}, printedNumbers: map[journal.UsedNumber]printedNumber{}, isOwner: isOwner, boundByOwner: map[binding]bool{}, removed: map[journal.ID]journal.Fact{},
		clocks: ReadClocks(effective),
	}
	for _, f := range all {
		if id := f.Scope.Batch(); id != "" {
			b.ID, b.LastFact = id, f.ID
			b.FactCount++
		}
	}
	b.Secret = secretOf(all, effective, isOwner)
	for _, f := range effective {
		switch {
		case f.Scope.Batch() == "":
		case f.Kind == journal.KindBatchStarted && b.Secret != "" && !hasSecret(f, b.Secret): // it would re-key the batch
			b.addUnapplied(f)
		case f.NeededVersion <= StateVersion && f.CheckBody() != nil:
			b.addUnapplied(f)
		default:
			b.add(f)
		}
	}
	return b.build(all)
}

// secretOf returns the secret of a batch, which leads from its printed labels to its bags. It takes the secret
// from the owner's first batch.started that is not withdrawn; else from the owner's first that is, since labels
// were printed with it; else, where no owner started the batch, from the first of all. So withdrawing a made-up
// batch.started undoes it.
func secretOf(ordered, effective []journal.Fact, isOwner func(journal.ID) bool) journal.ID {
	everyone := func(journal.ID) bool { return true }
	for _, starts := range []struct {
		facts []journal.Fact
		by    func(journal.ID) bool
	}{{effective, isOwner}, {ordered, isOwner}, {ordered, everyone}} {
		for _, f := range starts.facts {
			if f.Kind != journal.KindBatchStarted || f.CheckBody() != nil || !starts.by(f.Device) {
				continue
			}
			if start, ok := journal.DecodeBody[journal.BatchStarted](f); ok && start.Secret != "" {
				return start.Secret
			}
		}
	}
	return ""
}

func hasSecret(f journal.Fact, secret journal.ID) bool {
	start, ok := journal.DecodeBody[journal.BatchStarted](f)
	return ok && start.Secret == secret
}

// entity is the subject of facts while they are read: what it is, its properties (the
// later stamp of each wins), and whether a fact about it needs a newer program.
type entity struct {
	kind          journal.Entity
	props         map[string]json.RawMessage
	firstFact     journal.Fact
	needsNewerApp bool
}

// builder collects the entities of a batch, then applies the facts to them.
type builder struct {
	State
	entities       map[journal.ID]*entity
	order          []journal.ID
	facts          []kindedFact // in order, applied once all entities are known
	clocks         Clocks
	printedNumbers map[journal.UsedNumber]printedNumber // of blanks and tags
	removed        map[journal.ID]journal.Fact          // pieces and colours that were taken out, each with the fact that did
	isOwner        func(device journal.ID) bool

	isFinishedByOwner bool
	boundByOwner      map[binding]bool // blanks that an owner attached to bags
}

// binding is a blank on a bag.
type binding struct {
	bag   journal.ID
	token string
}

// kindedFact is a fact with its kind, which is zero if this program does not know it.
type kindedFact struct {
	journal.Fact
	kind journal.Kind
}

// setsProps says whether the body's properties become those of the subject.
func (f kindedFact) setsProps() bool {
	return f.kind.Effect == journal.EffectBegins || f.kind.Effect == journal.EffectSets
}

func (b *builder) add(f journal.Fact) {
	kind, known := journal.FindKind(f.Kind)
	switch {
	case !known:
		b.UnknownFacts++
	case kind.Effect == journal.EffectBegins && b.entities[f.Subject] == nil:
		b.entities[f.Subject] = &entity{kind: kind.Subject, props: map[string]json.RawMessage{}, firstFact: f}
		b.order = append(b.order, f.Subject)
	}
	b.facts = append(b.facts, kindedFact{f, kind})
}

// build builds the state; all are the facts of the batch, also those that do not hold.
func (b *builder) build(all []journal.Fact) State {
	for _, f := range b.facts {
		e := b.entities[f.Subject]
		if f.NeededVersion > StateVersion {
			if e != nil {
				e.needsNewerApp = true
			} else if f.Subject == b.ID {
				b.NeedsNewerApp = true
			}
			continue
		}
		if e != nil && f.setsProps() && f.kind.Subject == e.kind {
			MergeProps(e.props, f.Fact)
		}
	}
	for _, id := range b.order {
		b.buildEntity(id, b.entities[id])
	}
	for _, f := range b.facts {
		switch {
		case f.NeededVersion > StateVersion:
		case !f.setsProps():
			b.apply(f)
		case b.entities[f.Subject] == nil:
			b.addUnapplied(f.Fact)
		}
	}
	for i := range b.Bags {
		stays := b.Bags[i].Stays
		sort.SliceStable(stays, func(i, j int) bool { return stays[i].At < stays[j].At })
	}
	b.findClashes()
	b.dropForeignBlanks(all)
	b.attachLabels()
	b.dropEarlyFinish()
	b.takeOut()
	b.collectUses()
	return b.State
}

// MergeProps lays those properties of a fact's body that it may set over props. Facts come
// in the order of their stamps, so the later holds, property by property.
func MergeProps(props map[string]json.RawMessage, f journal.Fact) {
	kind, _ := journal.FindKind(f.Kind)
	var set map[string]json.RawMessage
	if json.Unmarshal(journal.PlainBody(f.Body), &set) != nil {
		return
	}
	for k, v := range set {
		if kind.MaySet(k) {
			props[k] = v
		}
	}
}

// DecodeProps reads props as T; a property that cannot be read stays zero.
func DecodeProps[T any](props map[string]json.RawMessage) T {
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
	at, by := f.clocks.CorrectedTime(t.firstFact)
	switch t.kind {
	case journal.EntityBatch:
		b := DecodeProps[journal.BatchStarted](t.props)
		f.Name, f.Note, f.Deadline, f.RinseAt, f.StartedAt = b.Name, b.Note, b.Deadline, b.RinseAt, at
		f.NeedsNewerApp = f.NeedsNewerApp || t.needsNewerApp
	case journal.EntityPiece:
		b := DecodeProps[journal.PieceAdded](t.props)
		f.Pieces = append(f.Pieces, Piece{ID: id, Kind: b.Kind, Name: b.Name, Count: b.Count, Grams: b.Grams,
			WeightAssumed: b.WeightAssumed, Fibre: b.Fibre, MainFibreShare: b.MainFibreShare, Fold: b.Fold, PieceMore: b.PieceMore, NeedsNewerApp: t.needsNewerApp})
	case journal.EntityColour:
		b := DecodeProps[journal.ColourChosen](t.props)
		f.Colours = append(f.Colours, Colour{ID: id, Name: b.Name, CapLetters: b.CapLetters, RGB: b.RGB, Class: b.Class,
			Generic: b.Generic, Strength: b.Strength, Depth: b.Depth, VolumeML: b.VolumeML, ColourMore: b.ColourMore, NeedsNewerApp: t.needsNewerApp})
	case journal.EntitySoak:
		b := DecodeProps[journal.SoakMixed](t.props)
		f.Soaks = append(f.Soaks, Soak{ID: id, WaterML: b.WaterML, SodaGrams: b.SodaGrams, Form: b.Form, Celsius: b.Celsius, Hardness: b.Hardness, MixedAt: at, NeedsNewerApp: t.needsNewerApp})
	case journal.EntityJug:
		b := DecodeProps[journal.JugMixed](t.props)
		f.Jugs = append(f.Jugs, Jug{ID: id, Colour: b.Colour, PowderGrams: b.PowderGrams, VolumeML: b.VolumeML, AlginateGrams: b.AlginateGrams, Celsius: b.Celsius, MixedAt: at, NeedsNewerApp: t.needsNewerApp})
	case journal.EntityBag:
		b := DecodeProps[journal.BagClosed](t.props)
		f.Bags = append(f.Bags, Bag{ID: id, Number: b.Number, Letter: b.Letter, Pieces: b.Pieces, Colours: b.Colours,
			Fold: b.Fold, Note: b.Note, ClosedAt: at, ClockCorrection: by, TZ: t.firstFact.TZ, Device: t.firstFact.Device,
			Stays: []Stay{{At: at, Place: b.Place, Celsius: b.Celsius}}, NeedsNewerApp: t.needsNewerApp})
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
			b.NumberClashes, f.Bags[j].NumberClashes = true, true
		}
		seen[u] = i
	}
}

func (f *builder) addUnapplied(x journal.Fact) {
	f.Unapplied = append(f.Unapplied, UnappliedFact{x.ID, x.Kind})
}

// Clocks are the offsets that devices measured, in order.
type Clocks map[journal.ID][]clockMeasurement

type clockMeasurement struct {
	stamp  journal.Stamp
	at     zone.Instant // by the device's own clock
	offset zone.Span
}

func ReadClocks(ordered []journal.Fact) Clocks {
	c := Clocks{}
	for _, x := range ordered {
		if x.Kind != journal.KindClockMeasured {
			continue
		}
		m, ok := journal.DecodeBody[journal.ClockMeasured](x)
		if ok && m.Offset >= -journal.MaxClockOffset && m.Offset <= journal.MaxClockOffset {
			c[x.Device] = append(c[x.Device], clockMeasurement{x.Stamp, x.At, m.Offset})
		}
	}
	return c
}

// CorrectedTime returns when a fact happened by the hub's clock, and the correction that was added to
// the writer's time. Two measurements of the writer's clock may apply: the one before the fact and the
// one after it. The one nearer in time counts, since the clock may have been set in between.
func (c Clocks) CorrectedTime(x journal.Fact) (zone.Instant, zone.Span) {
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
