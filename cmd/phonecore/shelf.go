package main

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/liquor"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// shelfCalls show the shelf and the plan of a batch, and read what is typed for them.
var shelfCalls = callTable{
	"shelf.view": jsonCall(func(q shelfArgs) (batchview.ShelfView, error) {
		return batchview.ViewShelf(q.Shelf, q.Batches, q.Open, q.Env), nil
	}),
	"stock.view": jsonCall(func(q stockArgs) (batchview.StockView, error) {
		return batchview.ViewStock(q.Shelf, q.Batches, q.ID, q.Env)
	}),
	"plan.view": jsonCall(func(q planArgs) (batchview.PlanView, error) {
		return batchview.ViewPlan(q.State, q.Shelf, q.Batches, q.Env), nil
	}),
	"plan.settle": jsonCall(func(q planArgs) (batchview.Settlement, error) {
		return batchview.SettleBatch(q.State, q.Shelf, q.Batches, q.Env)
	}),
	"rinse.parse":      jsonCall(parseRinse),
	"blend.parse":      jsonCall(parseBlend),
	"strength.onCloth": jsonCall(strengthOnCloth),
}

// shelfArgs are the shelf, what batches used, and the open batches.
type shelfArgs struct {
	Shelf   shelf.State       `json:"shelf"`
	Batches []shelf.BatchUses `json:"batches"`
	Open    []batch.State     `json:"open"`
	Env     batchview.ViewEnv `json:"env"`
}

// stockArgs name one thing on the shelf.
type stockArgs struct {
	Shelf   shelf.State       `json:"shelf"`
	Batches []shelf.BatchUses `json:"batches"`
	ID      journal.ID        `json:"id"`
	Env     batchview.ViewEnv `json:"env"`
}

// planArgs name a batch, with the shelf.
type planArgs struct {
	State   batch.State       `json:"state"`
	Shelf   shelf.State       `json:"shelf"`
	Batches []shelf.BatchUses `json:"batches"`
	Env     batchview.ViewEnv `json:"env"`
}

// parsedTime is a time as it was read, with its words.
type parsedTime struct {
	At zone.Instant `json:"at"`
}

func parseRinse(q struct {
	Typed string            `json:"typed"`
	Env   batchview.ViewEnv `json:"env"`
}) (parsedTime, error) {
	at, err := batchview.ParseRinse(q.Typed, q.Env)
	return parsedTime{at}, err
}

// parsedBlend is what a cloth is made of, as it was read.
type parsedBlend struct {
	Blend    []journal.FibreShare `json:"blend"` // empty where it is one fibre
	Fibre    goods.Fibre          `json:"fibre"` // the one with the largest share
	Share    float64              `json:"share"` // of that fibre; 0 where it is alone
	Words    string               `json:"words"`
	Means    string               `json:"means,omitempty"` // how it comes out, where not as cotton does
	IsHarmed bool                 `json:"isHarmed"`        // soda ash harms it
}

func parseBlend(q struct {
	Typed string `json:"typed"`
}) (parsedBlend, error) {
	b, err := goods.ParseBlend(q.Typed)
	if err != nil {
		return parsedBlend{}, err
	}
	out := parsedBlend{Blend: []journal.FibreShare{}, Words: b.Words(), Means: b.DyeingNote(), IsHarmed: b.HarmedFibre() != ""}
	for _, p := range b {
		if len(b) > 1 {
			out.Blend = append(out.Blend, journal.FibreShare{Fibre: string(p.Fibre), Share: float64(p.Share)})
		}
		if float64(p.Share) > out.Share {
			out.Fibre, out.Share = p.Fibre, float64(p.Share)
		}
	}
	if len(b) == 1 {
		out.Share = 0
	}
	return out, nil
}

// clothStrength is the strength that brings a depth on the weight of the cloth.
type clothStrength struct {
	GPerL float64 `json:"gPerL"`
	Text  string  `json:"text"`
}

func strengthOnCloth(q struct {
	Share float64    `json:"share"`
	Style unit.Style `json:"style"`
}) (clothStrength, error) {
	c := float64(liquor.StrengthForDepth(unit.Share(q.Share), unit.Share(liquor.PickUpShare.Value)))
	return clothStrength{c, unit.Show(unit.KindConcentration, c, q.Style)}, nil
}
