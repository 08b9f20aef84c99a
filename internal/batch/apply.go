package batch

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// apply reads one fact that is not a property: something that was done to a
// thing. A fact whose thing is not there does not fit.
func (f *builder) apply(x journal.Fact) {
	at, _ := f.clocks.correctedTime(x)
	if act, ok := bagAppliers[x.Kind]; ok {
		f.applyTo(x, "bag", func() { act(f.bag(x.Subject), x, at) })
		return
	}
	switch x.Kind {
	case "batch.finished":
		f.Finished = at
	case "piece.scoured":
		f.applyTo(x, "piece", func() { f.piece(x.Subject).Scoured = true })
	case "piece.tied":
		f.applyTo(x, "piece", func() {
			p := f.piece(x.Subject)
			p.Tied = true
			if b, ok := journal.DecodeBody[journal.PieceTied](x); ok && b.Fold != "" {
				p.Fold = b.Fold
			}
		})
	case "piece.photographed":
		f.applyTo(x, "piece", func() {
			if b, ok := journal.DecodeBody[journal.PiecePhotographed](x); ok {
				p := f.piece(x.Subject)
				p.Photos = append(p.Photos, Photo{x.ID, b.SHA256, at, b.Stage, b.Bag})
			}
		})
	case "bag.split":
		f.applyTo(x, "bag", func() { f.applySplit(x) })
	case "soak.topped", "soak.checked", "soak.begun", "soak.ended", "soak.discarded":
		f.applyTo(x, "soak", func() { f.applySoak(x, at) })
	case journal.KindBlanksPrinted:
		f.applyPrinting(x, "")
	case journal.KindPieceTagged:
		f.applyTo(x, "piece", func() { f.applyPrinting(x, x.Subject) })
	case "share.opened", "share.joined", "share.closed":
		f.applyShare(x)
	case "jug.thinned", "jug.activated", "jug.discarded":
		f.applyTo(x, "jug", func() { f.applyJug(x, at) })
	}
}

// applyTo runs act where x's subject is a thing of that sort that may be computed.
// What a printed label says, and on which bag it hangs, is known whatever else is not.
func (f *builder) applyTo(x journal.Fact, sort string, act func()) {
	switch t := f.entities[x.Subject]; {
	case t == nil || t.kind != sort:
		f.unapplied(x)
	case !t.update || x.Kind == "bag.printed" || x.Kind == "bag.bound":
		act()
	}
}

// bagAppliers are the facts of a bag after its closing. Of two openings the first
// counts: the cure ended then.
var bagAppliers = map[string]func(b *Bag, x journal.Fact, at zone.Instant){
	"bag.moved": func(b *Bag, x journal.Fact, at zone.Instant) {
		if m, ok := journal.DecodeBody[journal.BagMoved](x); ok {
			b.Stays = append(b.Stays, Stay{at, m.Place, m.Celsius})
		}
	},
	"bag.looked": func(b *Bag, _ journal.Fact, at zone.Instant) { b.Looks = append(b.Looks, at) },
	"bag.dyed": func(b *Bag, x journal.Fact, at zone.Instant) {
		if d, ok := journal.DecodeBody[journal.BagDyed](x); ok {
			b.Added = append(b.Added, AddedDye{at, d.Colours})
		}
	},
	"bag.dried": func(b *Bag, x journal.Fact, at zone.Instant) {
		if d, ok := journal.DecodeBody[journal.BagDried](x); ok {
			b.Dry = append(b.Dry, FoundDry{at, d.Wetted})
		}
	},
	"bag.bound": func(b *Bag, x journal.Fact, _ zone.Instant) {
		if d, ok := journal.DecodeBody[journal.BagBound](x); ok {
			b.Bound = append(slices.DeleteFunc(b.Bound, func(had string) bool { return had == d.Token }), d.Token)
		}
	},
	"bag.printed": func(b *Bag, x journal.Fact, at zone.Instant) {
		if d, ok := journal.DecodeBody[journal.BagPrinted](x); ok {
			b.Printed = &PrintedLabel{at, d.Code, d.Ready}
		}
	},
	"bag.opened": func(b *Bag, _ journal.Fact, at zone.Instant) { b.Opened = earliest(b.Opened, at) },
	"bag.rinsed": func(b *Bag, x journal.Fact, at zone.Instant) {
		b.Rinsed = earliest(b.Rinsed, at)
		if d, ok := journal.DecodeBody[journal.BagRinsed](x); ok {
			b.Baths = d.Baths
		}
	},
	"bag.done": func(b *Bag, _ journal.Fact, at zone.Instant) { b.Done = earliest(b.Done, at) },
}

func earliest(a, b zone.Instant) zone.Instant {
	if a == 0 || b < a {
		return b
	}
	return a
}

func (f *builder) applySplit(x journal.Fact) {
	d, ok := journal.DecodeBody[journal.BagSplit](x)
	if !ok {
		return
	}
	if t := f.entities[d.Into]; t != nil && t.kind == "bag" {
		f.bag(d.Into).From = x.Subject
		if b := f.bag(x.Subject); d.Into != b.ID && !slices.Contains(b.Into, d.Into) {
			b.Into = append(b.Into, d.Into)
		}
	}
	b := f.bag(x.Subject)
	for _, gone := range d.Pieces {
		for i := range b.Pieces {
			if b.Pieces[i].Piece == gone.Piece {
				b.Pieces[i].Count = max(0, b.Pieces[i].Count-gone.Count)
			}
		}
	}
}

func (f *builder) applySoak(x journal.Fact, at zone.Instant) {
	s := pointerTo(f.Soaks, func(s Soak) bool { return s.ID == x.Subject })
	switch x.Kind {
	case "soak.topped":
		if d, ok := journal.DecodeBody[journal.SoakMixed](x); ok {
			s.Water += d.Water
			s.Soda += d.Soda
		}
	case "soak.checked":
		if d, ok := journal.DecodeBody[journal.SoakChecked](x); ok {
			s.PH, s.With = d.PH, d.With
		}
	case "soak.begun":
		s.Begun = earliest(s.Begun, at)
	case "soak.ended":
		s.Ended = max(s.Ended, at)
	case "soak.discarded":
		s.Discarded = true
	}
}

func (f *builder) applyJug(x journal.Fact, at zone.Instant) {
	j := pointerTo(f.Jugs, func(j Jug) bool { return j.ID == x.Subject })
	switch x.Kind {
	case "jug.thinned":
		if d, ok := journal.DecodeBody[journal.JugThinned](x); ok {
			j.ML = d.ML
		}
	case "jug.activated":
		j.Activated = earliest(j.Activated, at)
		if d, ok := journal.DecodeBody[journal.JugActivated](x); ok {
			j.Soda += d.Soda
		}
	case "jug.discarded":
		j.Discarded = true
	}
}

func (f *builder) bag(id journal.ID) *Bag {
	return pointerTo(f.Bags, func(b Bag) bool { return b.ID == id })
}

func (f *builder) piece(id journal.ID) *Piece {
	return pointerTo(f.Pieces, func(p Piece) bool { return p.ID == id })
}

// pointerTo gives the one in list that is; things has said that there is one.
func pointerTo[T any](list []T, is func(T) bool) *T {
	for i := range list {
		if is(list[i]) {
			return &list[i]
		}
	}
	return new(T)
}
