package batch

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// apply applies one fact that changes its subject. A fact whose subject is not there
// is kept as unapplied.
func (b *builder) apply(f kindedFact) {
	change := factAppliers[f.Kind]
	if change == nil {
		return
	}
	at, _ := b.clocks.CorrectedTime(f.Fact)
	if f.kind.Subject == journal.EntityBatch || f.kind.Subject == journal.EntityPrinting || f.kind.Subject == journal.EntityPhone {
		change(b, f.Fact, at)
		return
	}
	switch e := b.entities[f.Subject]; {
	case e == nil || f.kind.Subject != journal.EntityAny && e.kind != f.kind.Subject:
		b.addUnapplied(f.Fact)
	// What a label says and on which bag it hangs is known even if the rest is not.
	case !e.needsNewerApp || f.Kind == journal.KindBagPrinted || f.Kind == journal.KindBagBound:
		change(b, f.Fact, at)
	}
}

// factApplier applies a fact to a batch. at is when it happened, corrected for the error of the clock that
// wrote it.
type factApplier = func(b *builder, f journal.Fact, at zone.Instant)

// factAppliers has a function for each kind whose effect on a batch is journal.EffectChanges.
var factAppliers = map[string]factApplier{
	journal.KindBatchFinished: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.NoteBody) {
		if isOwner := b.isOwner(f.Device); isOwner || !b.isFinishedByOwner {
			b.FinishedAt, b.FinishNote, b.isFinishedByOwner = at, body.Note, isOwner
		}
	}),
	journal.KindBatchRepeated: applierWithBody(func(b *builder, _ journal.Fact, _ zone.Instant, body journal.BatchRepeated) {
		b.Repeats = &Repeated{body.From, body.Scale}
	}),

	journal.KindPieceSplit: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.PieceSplit) {
		b.piece(f.Subject).Count -= body.Count
	}),
	journal.KindPieceRemoved:  func(b *builder, f journal.Fact, _ zone.Instant) { b.removed[f.Subject] = f },
	journal.KindColourRemoved: func(b *builder, f journal.Fact, _ zone.Instant) { b.removed[f.Subject] = f },

	journal.KindPieceScoured: func(b *builder, f journal.Fact, _ zone.Instant) { b.piece(f.Subject).IsScoured = true },
	journal.KindPieceDesigned: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.PieceDesigned) {
		p := b.piece(f.Subject)
		p.Design = &PieceDesign{body.Name, body.Code, body.Steps}
		p.Fold = body.Fold
	}),
	journal.KindPieceTied: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.PieceTied) {
		p := b.piece(f.Subject)
		p.IsTied, p.TiedAt = true, earliest(p.TiedAt, at)
		if body.Fold != "" {
			p.Fold = body.Fold
		}
	}),
	journal.KindPieceTaken: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.PieceTaken) {
		p := b.piece(f.Subject)
		p.Taken = append(p.Taken, Take{f.ID, f.Device, at, body.Count})
	}),
	journal.KindPieceDyed: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.PieceDyed) {
		p := b.piece(f.Subject)
		for _, s := range body.Sections {
			p.DyePuts = append(p.DyePuts, DyePut{s.Name, s.Colour, s.ML})
		}
	}),
	journal.KindPieceTagged: func(b *builder, f journal.Fact, _ zone.Instant) { b.applyPrinting(f, f.Subject) },
	journal.KindPiecePhotographed: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.PiecePhotographed) {
		p := b.piece(f.Subject)
		p.Photos = append(p.Photos, Photo{f.ID, body.SHA256, at, body.Stage, body.Bag})
	}),

	journal.KindPowderOpened: func(b *builder, f journal.Fact, at zone.Instant) { b.OpenPowder = &OpenPowder{at, f.Device} },
	journal.KindPowderClosed: func(b *builder, _ journal.Fact, _ zone.Instant) { b.OpenPowder = nil },

	journal.KindSoakDissolved: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.SoakDissolved) {
		b.soakBath(f.Subject).IsClear = &body.IsClear
	}),
	journal.KindSoakTopped: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.SoakMixed) {
		s := b.soakBath(f.Subject)
		s.WaterML += body.WaterML
		s.SodaGrams += body.SodaGrams
	}),
	journal.KindSoakChecked: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.SoakChecked) {
		s := b.soakBath(f.Subject)
		s.PH, s.MeasuredWith = body.PH, body.MeasuredWith
	}),
	journal.KindSoakBegun: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.SoakPieces) {
		s := b.soakBath(f.Subject)
		s.BegunAt = earliest(s.BegunAt, at)
		s.Lots = append(s.Lots, SoakLot{InAt: at, Pieces: body.Pieces})
	}),
	journal.KindSoakEnded: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.SoakPieces) {
		s := b.soakBath(f.Subject)
		s.EndedAt = max(s.EndedAt, at)
		s.endLots(at, body.Pieces)
	}),
	journal.KindSoakDiscarded: func(b *builder, f journal.Fact, _ zone.Instant) { b.soakBath(f.Subject).IsDiscarded = true },

	journal.KindJugThinned: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.JugThinned) {
		b.dyeJug(f.Subject).VolumeML = body.AddedML
	}),
	journal.KindJugTopped: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.JugTopped) {
		j := b.dyeJug(f.Subject)
		j.PowderGrams += body.PowderGrams
		j.VolumeML += body.AddedML
	}),
	journal.KindJugActivated: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.JugActivated) {
		j := b.dyeJug(f.Subject)
		j.ActivatedAt = earliest(j.ActivatedAt, at)
		j.SodaGrams += body.SodaGrams
	}),
	journal.KindJugDiscarded: func(b *builder, f journal.Fact, _ zone.Instant) { b.dyeJug(f.Subject).IsDiscarded = true },
	journal.KindBottleFilled: applierWithBody(func(b *builder, _ journal.Fact, _ zone.Instant, body journal.BottleFilled) {
		j := b.dyeJug(body.Jug)
		j.FilledML += body.ML * float64(body.Count)
		j.FilledCount += body.Count
	}),

	journal.KindBlanksPrinted: func(b *builder, f journal.Fact, _ zone.Instant) { b.applyPrinting(f, "") },

	journal.KindBagMoved: applierToBag(func(b *Bag, at zone.Instant, body journal.BagMoved) {
		b.Stays = append(b.Stays, Stay{at, body.Place, body.Celsius})
	}),
	journal.KindBagLooked: applierToBag(func(b *Bag, at zone.Instant, _ journal.BagLooked) { b.LookTimes = append(b.LookTimes, at) }),
	journal.KindBagDyed: applierToBag(func(b *Bag, at zone.Instant, body journal.BagDyed) {
		b.AddedDyes = append(b.AddedDyes, AddedDye{at, body.Colours})
	}),
	journal.KindBagDried: applierToBag(func(b *Bag, at zone.Instant, body journal.BagFoundDry) {
		b.DryFindings = append(b.DryFindings, DryFinding{at, body.WasWetted})
	}),
	journal.KindBagWeighed: applierToBag(func(b *Bag, _ zone.Instant, body journal.BagWeighed) { b.WeighedGrams = body.Grams }),
	journal.KindBagSplit:   applierWithBody((*builder).applySplit),
	journal.KindBagBound: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.BagBound) {
		bag := b.bag(f.Subject)
		bag.BoundBlanks = append(slices.DeleteFunc(bag.BoundBlanks, func(had string) bool { return had == body.Token }), body.Token)
		if b.isOwner(f.Device) {
			b.boundByOwner[binding{f.Subject, body.Token}] = true
		}
	}),
	journal.KindBagPrinted: applierToBag(func(b *Bag, at zone.Instant, body journal.BagPrinted) {
		b.LastPrinted = &PrintedLabel{at, body.Code, body.Ready}
	}),
	// Of two openings the first counts: the cure ended then.
	journal.KindBagOpened: applierToBag(func(b *Bag, at zone.Instant, _ journal.BagOpened) { b.OpenedAt = earliest(b.OpenedAt, at) }),
	journal.KindBagRinsed: applierToBag(func(b *Bag, at zone.Instant, body journal.BagRinsed) {
		b.RinsedAt, b.RinseBaths, b.RanClear = earliest(b.RinsedAt, at), body.Baths, body.Clear
	}),
	journal.KindRinseDone: applierWithBody(func(b *builder, _ journal.Fact, at zone.Instant, body journal.RinseDone) {
		b.Rinses = append(b.Rinses, RinseBath{at, body.Bags, body.Water, body.Celsius, body.Soap})
		for i := range b.Bags {
			if bag := &b.Bags[i]; slices.Contains(body.Bags, bag.ID) {
				bag.Tub, bag.LastBathAt = body.Tub, max(bag.LastBathAt, at)
				if body.Soap || body.Celsius != nil && *body.Celsius >= hotFrom {
					bag.HotBaths++
				} else {
					bag.ColdBaths++
				}
			}
		}
	}),
	journal.KindBagDone: applierToBag(func(b *Bag, at zone.Instant, _ journal.BagDone) { b.DoneAt = earliest(b.DoneAt, at) }),
	journal.KindRagTested: applierToBag(func(b *Bag, at zone.Instant, body journal.RagTested) {
		b.LastRagTest = &RagTest{at, body.Showed, body.Celsius}
	}),

	journal.KindWashDone: applierWithBody(func(b *builder, _ journal.Fact, at zone.Instant, body journal.WashDone) {
		b.Washes = append(b.Washes, MachineWash{at, body.Bags, body.Celsius, body.Alone})
	}),
	journal.KindResultRated: applierWithBody((*builder).rate),
	journal.KindColourRead: applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.ColourRead) {
		b.Readings = append(b.Readings, ColourReading{f.Subject, f.ID, at, body.Lab, body.Error, body.Photo, body.Washes})
	}),

	journal.KindShareOpened: applierWithBody(func(b *builder, _ journal.Fact, _ zone.Instant, body journal.ShareOpened) {
		// The hub opens a code again, with an end, when a phone that knew it is removed.
		b.ShareCodes = append(slices.DeleteFunc(b.ShareCodes, func(s ShareCode) bool { return s.Hash == body.Hash }), ShareCode{body.Hash, body.Until})
	}),
	// A phone that joined while no code was open is no helper: the owner's phone had
	// ended the sharing while it could not reach the hub.
	journal.KindHelperJoined: applierWithBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.DeviceNamed) {
		if len(b.ShareCodes) > 0 {
			b.Helpers = append(withoutDevice(b.Helpers, f.Subject), Helper{f.Subject, body.Name})
		}
	}),
	// Facts come in the order of their stamps: this ends every earlier code and
	// removes every earlier helper.
	journal.KindShareClosed: func(b *builder, _ journal.Fact, _ zone.Instant) {
		b.ShareCodes, b.Helpers = []ShareCode{}, []Helper{}
	},
}

// hotFrom is the temperature in °C from which a bath counts as a hot one (judgement: hot
// baths are meant to have 60 °C, and tap water is colder than this).
const hotFrom = 45

// IsApplied says whether the builder has a function for a kind of fact.
func IsApplied(kind string) bool {
	return factAppliers[kind] != nil || placeChanges[kind] != nil || designChanges[kind] != nil
}

// applierWithBody makes a factApplier from a function that takes the body too. A body that cannot be
// read changes nothing: Build has set such facts apart.
func applierWithBody[T any](do func(b *builder, f journal.Fact, at zone.Instant, body T)) factApplier {
	return func(b *builder, f journal.Fact, at zone.Instant) {
		if body, ok := journal.DecodeBody[T](f); ok {
			do(b, f, at, body)
		}
	}
}

// applierToBag makes a factApplier from a function that takes the bag and the body.
func applierToBag[T any](do func(b *Bag, at zone.Instant, body T)) factApplier {
	return applierWithBody(func(b *builder, f journal.Fact, at zone.Instant, body T) { do(b.bag(f.Subject), at, body) })
}

// endLots ends the lots that are in the bath: those with one of the pieces, or all where none is
// named.
func (s *Soak) endLots(at zone.Instant, pieces []journal.ID) {
	for i := range s.Lots {
		l := &s.Lots[i]
		isMeant := len(pieces) == 0 || len(l.Pieces) == 0 ||
			slices.ContainsFunc(pieces, func(id journal.ID) bool { return slices.Contains(l.Pieces, id) })
		if l.OutAt == 0 && isMeant {
			l.OutAt = max(at, l.InAt)
		}
	}
}

// LotsInBath returns the lots that are in the bath.
func (s Soak) LotsInBath() (in []SoakLot) {
	for _, l := range s.Lots {
		if l.OutAt == 0 {
			in = append(in, l)
		}
	}
	return in
}

func earliest(a, b zone.Instant) zone.Instant {
	if a == 0 || b < a {
		return b
	}
	return a
}

func (b *builder) applySplit(f journal.Fact, _ zone.Instant, body journal.BagSplit) {
	from := b.bag(f.Subject)
	if e := b.entities[body.Into]; e != nil && e.kind == journal.EntityBag {
		b.bag(body.Into).SplitFrom = f.Subject
		if body.Into != from.ID && !slices.Contains(from.SplitInto, body.Into) {
			from.SplitInto = append(from.SplitInto, body.Into)
		}
	}
	for _, moved := range body.Pieces {
		for i := range from.Pieces {
			if from.Pieces[i].Piece == moved.Piece {
				from.Pieces[i].Count = max(0, from.Pieces[i].Count-moved.Count)
			}
		}
	}
}

func (b *builder) bag(id journal.ID) *Bag {
	return findPointer(b.Bags, func(x Bag) bool { return x.ID == id })
}

func (b *builder) piece(id journal.ID) *Piece {
	return findPointer(b.Pieces, func(x Piece) bool { return x.ID == id })
}

func (b *builder) soakBath(id journal.ID) *Soak {
	return findPointer(b.Soaks, func(x Soak) bool { return x.ID == id })
}

func (b *builder) dyeJug(id journal.ID) *Jug {
	return findPointer(b.Jugs, func(x Jug) bool { return x.ID == id })
}

// findPointer returns a pointer to the element for which is holds; entities has said that there
// is one.
func findPointer[T any](list []T, is func(T) bool) *T {
	for i := range list {
		if is(list[i]) {
			return &list[i]
		}
	}
	return new(T)
}
