package batch

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// apply applies one fact that changes its subject. A fact whose subject is not there
// is kept as unapplied.
func (b *builder) apply(f kindedFact) {
	change := changes[f.Kind]
	if change == nil {
		return
	}
	at, _ := b.clocks.CorrectedTime(f.Fact)
	if f.kind.Subject == journal.OnBatch || f.kind.Subject == journal.OnPrinting || f.kind.Subject == journal.OnPhone {
		change(b, f.Fact, at)
		return
	}
	switch e := b.entities[f.Subject]; {
	case e == nil || e.is != f.kind.Subject:
		b.addUnapplied(f.Fact)
	// What a label says and on which bag it hangs is known even if the rest is not.
	case !e.needsUpdate || f.Kind == journal.KindBagPrinted || f.Kind == journal.KindBagBound:
		change(b, f.Fact, at)
	}
}

// change applies a fact to a batch. at is when it happened, corrected for the error of the clock that
// wrote it.
type change = func(b *builder, f journal.Fact, at zone.Instant)

// changes has a function for each kind whose effect on a batch is journal.Changes.
var changes = map[string]change{
	journal.KindBatchFinished: func(b *builder, _ journal.Fact, at zone.Instant) { b.Finished = at },

	journal.KindPieceSplit: withBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.PieceSplit) {
		b.piece(f.Subject).Count -= body.Count
	}),
	journal.KindPieceRemoved:  func(b *builder, f journal.Fact, _ zone.Instant) { b.removed[f.Subject] = f },
	journal.KindColourRemoved: func(b *builder, f journal.Fact, _ zone.Instant) { b.removed[f.Subject] = f },

	journal.KindPieceScoured: func(b *builder, f journal.Fact, _ zone.Instant) { b.piece(f.Subject).Scoured = true },
	journal.KindPieceTied: withBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.PieceTied) {
		p := b.piece(f.Subject)
		p.Tied = true
		if body.Fold != "" {
			p.Fold = body.Fold
		}
	}),
	journal.KindPieceTagged: func(b *builder, f journal.Fact, _ zone.Instant) { b.applyPrinting(f, f.Subject) },
	journal.KindPiecePhotographed: withBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.PiecePhotographed) {
		p := b.piece(f.Subject)
		p.Photos = append(p.Photos, Photo{f.ID, body.SHA256, at, body.Stage, body.Bag})
	}),

	journal.KindSoakTopped: withBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.SoakMixed) {
		s := b.soakBath(f.Subject)
		s.Water += body.Water
		s.Soda += body.Soda
	}),
	journal.KindSoakChecked: withBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.SoakChecked) {
		s := b.soakBath(f.Subject)
		s.PH, s.MeasuredWith = body.PH, body.With
	}),
	journal.KindSoakBegun: func(b *builder, f journal.Fact, at zone.Instant) {
		s := b.soakBath(f.Subject)
		s.Begun = earliest(s.Begun, at)
	},
	journal.KindSoakEnded: func(b *builder, f journal.Fact, at zone.Instant) {
		s := b.soakBath(f.Subject)
		s.Ended = max(s.Ended, at)
	},
	journal.KindSoakDiscarded: func(b *builder, f journal.Fact, _ zone.Instant) { b.soakBath(f.Subject).Discarded = true },

	journal.KindJugThinned: withBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.JugThinned) {
		b.dyeJug(f.Subject).ML = body.ML
	}),
	journal.KindJugActivated: withBody(func(b *builder, f journal.Fact, at zone.Instant, body journal.JugActivated) {
		j := b.dyeJug(f.Subject)
		j.Activated = earliest(j.Activated, at)
		j.Soda += body.Soda
	}),
	journal.KindJugDiscarded: func(b *builder, f journal.Fact, _ zone.Instant) { b.dyeJug(f.Subject).Discarded = true },

	journal.KindBlanksPrinted: func(b *builder, f journal.Fact, _ zone.Instant) { b.applyPrinting(f, "") },

	journal.KindBagMoved: onBag(func(b *Bag, at zone.Instant, body journal.BagMoved) {
		b.Stays = append(b.Stays, Stay{at, body.Place, body.Celsius})
	}),
	journal.KindBagLooked: onBag(func(b *Bag, at zone.Instant, _ journal.BagLooked) { b.LookTimes = append(b.LookTimes, at) }),
	journal.KindBagDyed: onBag(func(b *Bag, at zone.Instant, body journal.BagDyed) {
		b.Added = append(b.Added, AddedDye{at, body.Colours})
	}),
	journal.KindBagDried: onBag(func(b *Bag, at zone.Instant, body journal.BagDried) {
		b.Dry = append(b.Dry, FoundDry{at, body.Wetted})
	}),
	journal.KindBagSplit: withBody((*builder).applySplit),
	journal.KindBagBound: onBag(func(b *Bag, _ zone.Instant, body journal.BagBound) {
		b.Bound = append(slices.DeleteFunc(b.Bound, func(had string) bool { return had == body.Token }), body.Token)
	}),
	journal.KindBagPrinted: onBag(func(b *Bag, at zone.Instant, body journal.BagPrinted) {
		b.Printed = &PrintedLabel{at, body.Code, body.Ready}
	}),
	// Of two openings the first counts: the cure ended then.
	journal.KindBagOpened: onBag(func(b *Bag, at zone.Instant, _ journal.BagOpened) { b.Opened = earliest(b.Opened, at) }),
	journal.KindBagRinsed: onBag(func(b *Bag, at zone.Instant, body journal.BagRinsed) {
		b.Rinsed, b.Baths = earliest(b.Rinsed, at), body.Baths
	}),
	journal.KindBagDone: onBag(func(b *Bag, at zone.Instant, _ journal.BagDone) { b.Done = earliest(b.Done, at) }),
	journal.KindRagTested: onBag(func(b *Bag, at zone.Instant, body journal.RagTested) {
		b.Rag = &RagTest{at, body.Showed, body.Celsius}
	}),

	journal.KindShareOpened: withBody(func(b *builder, _ journal.Fact, _ zone.Instant, body journal.ShareOpened) {
		// The hub opens a code again, with an end, when a phone that knew it is removed.
		b.Shares = append(slices.DeleteFunc(b.Shares, func(s Share) bool { return s.Hash == body.Hash }), Share{body.Hash, body.Until})
	}),
	// A phone that joined while no code was open is no helper: the owner's phone had
	// ended the sharing while it could not reach the hub.
	journal.KindShareJoined: withBody(func(b *builder, f journal.Fact, _ zone.Instant, body journal.DeviceNamed) {
		if len(b.Shares) > 0 {
			b.Helpers = append(withoutDevice(b.Helpers, f.Subject), Helper{f.Subject, body.Name})
		}
	}),
	// Facts come in the order of their stamps: this ends every earlier code and
	// removes every earlier helper.
	journal.KindShareClosed: func(b *builder, _ journal.Fact, _ zone.Instant) {
		b.Shares, b.Helpers = []Share{}, []Helper{}
	},
}

// IsApplied says whether the builder has a function for a kind of fact.
func IsApplied(kind string) bool { return changes[kind] != nil || placeChanges[kind] != nil }

// withBody makes a change of a function that takes the body too. A body that cannot be
// read changes nothing: Build has set such facts apart.
func withBody[T any](do func(b *builder, f journal.Fact, at zone.Instant, body T)) change {
	return func(b *builder, f journal.Fact, at zone.Instant) {
		if body, ok := journal.DecodeBody[T](f); ok {
			do(b, f, at, body)
		}
	}
}

// onBag makes a change of a function that takes the bag and the body.
func onBag[T any](do func(b *Bag, at zone.Instant, body T)) change {
	return withBody(func(b *builder, f journal.Fact, at zone.Instant, body T) { do(b.bag(f.Subject), at, body) })
}

func earliest(a, b zone.Instant) zone.Instant {
	if a == 0 || b < a {
		return b
	}
	return a
}

func (b *builder) applySplit(f journal.Fact, _ zone.Instant, body journal.BagSplit) {
	from := b.bag(f.Subject)
	if e := b.entities[body.Into]; e != nil && e.is == journal.OnBag {
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
	return pointerTo(b.Bags, func(x Bag) bool { return x.ID == id })
}

func (b *builder) piece(id journal.ID) *Piece {
	return pointerTo(b.Pieces, func(x Piece) bool { return x.ID == id })
}

func (b *builder) soakBath(id journal.ID) *Soak {
	return pointerTo(b.Soaks, func(x Soak) bool { return x.ID == id })
}

func (b *builder) dyeJug(id journal.ID) *Jug {
	return pointerTo(b.Jugs, func(x Jug) bool { return x.ID == id })
}

// pointerTo points to the element for which is holds; entities has said that there
// is one.
func pointerTo[T any](list []T, is func(T) bool) *T {
	for i := range list {
		if is(list[i]) {
			return &list[i]
		}
	}
	return new(T)
}
