package batch

import (
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// StockUse is what a fact of the batch took off the shelf, in g or pieces. Stock is the id of the
// item, where the fact or its colour names it.
type StockUse struct {
	FactID    journal.ID   `json:"of"` // the fact
	StockType string       `json:"sort"`
	Stock     journal.ID   `json:"stock,omitempty"`
	Amount    float64      `json:"amount"`
	At        zone.Instant `json:"at"`
	PlannedID journal.ID   `json:"meets,omitempty"` // what was planned and is met by it: a colour's jug, or the batch's soak
}

// collectUses lists what the facts of the batch used, in their order. Facts about a bath or a
// jug that was withdrawn no longer count. Where two facts began one jug, soak or bag, the later
// counts, with its amounts.
func (b *builder) collectUses() {
	began := map[journal.ID]journal.ID{} // the last fact that began a subject
	for _, f := range b.facts {
		if f.kind.Effect == journal.EffectBegins {
			began[f.Subject] = f.ID
		}
	}
	for _, f := range b.facts {
		e := b.entities[f.Subject]
		if e == nil || e.kind != f.kind.Subject || f.NeededVersion > StateVersion || f.kind.Effect == journal.EffectBegins && began[f.Subject] != f.ID {
			continue
		}
		at, _ := b.clocks.CorrectedTime(f.Fact)
		meets := func(sort string, stock journal.ID, amount float64, planned journal.ID) {
			if amount > 0 {
				b.Uses = append(b.Uses, StockUse{FactID: f.ID, StockType: sort, Stock: stock, Amount: amount, At: at, PlannedID: planned})
			}
		}
		add := func(sort string, stock journal.ID, amount float64) { meets(sort, stock, amount, "") }
		addPowder := func(jug *entity, grams float64, planned journal.ID) {
			if stock := b.stockOfJug(DecodeProps[journal.JugMixed](jug.props)); stock != "" {
				meets("dye", stock, grams, planned)
			}
		}
		switch f.Kind {
		case journal.KindJugMixed:
			j := DecodeProps[journal.JugMixed](e.props)
			planned := j.Colour
			if b.dyeJug(f.Subject).IsDiscarded {
				planned = ""
			}
			addPowder(e, j.PowderGrams, planned)
			add("urea", "", j.UreaGrams)
			add("softener", "", j.SoftenerGrams)
			add("thickener", "", j.AlginateGrams)
		case journal.KindJugTopped:
			body, _ := journal.DecodeBody[journal.JugTopped](f.Fact)
			addPowder(e, body.PowderGrams, "")
		case journal.KindJugActivated:
			body, _ := journal.DecodeBody[journal.JugActivated](f.Fact)
			add("alkali", "", body.SodaGrams)
		case journal.KindSoakMixed:
			soak := DecodeProps[journal.SoakMixed](e.props)
			planned := b.ID
			if b.soakBath(f.Subject).IsDiscarded {
				planned = ""
			}
			meets("alkali", soak.Stock, soak.SodaGrams, planned)
		case journal.KindSoakTopped:
			body, _ := journal.DecodeBody[journal.SoakMixed](f.Fact)
			add("alkali", body.Stock, body.SodaGrams)
		case journal.KindBagClosed:
			add("bag", "", 1)
		}
	}
}

// stockOfJug returns the stock that a jug's powder came from, "" for a powder that is not on the shelf.
func (b *builder) stockOfJug(j journal.JugMixed) journal.ID {
	if c, ok := b.Colour(j.Colour); ok && j.Stock == "" {
		return c.Stock
	}
	return j.Stock
}
