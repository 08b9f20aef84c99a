package main

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/cause"
	"coldbatch/internal/journal"
	"coldbatch/internal/projection"
	"coldbatch/internal/sheet"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// batchCalls build and show batches, bags and places.
var batchCalls = callTable{
	"batch.build": jsonCall(func(q factsArgs) (batch.State, error) { return batch.BuildAsOf(q.Facts, q.Now), nil }),
	"state.build": jsonCall(func(q stateArgs) (projection.BuiltState, error) {
		return projection.Build(q.Scope, q.Facts, q.Style, q.Now)
	}),
	"batch.view": jsonCall(func(q batchArgs) (batchview.BatchView, error) { return batchview.ViewBatch(q.State, q.Env), nil }),
	"batch.history": jsonCall(func(q historyArgs) ([]batchview.HistoryLine, error) {
		lines := batchview.History(q.Facts, q.Env)
		if q.Gather {
			lines = batchview.GatherHistory(lines)
		}
		return lines, nil
	}),
	"today.view": jsonCall(func(q todayArgs) (batchview.TodayView, error) {
		return batchview.ViewToday(q.States, q.Finished, q.Env), nil
	}),
	"batches.list": jsonCall(func(q batchesArgs) ([]batchview.BatchLine, error) { return batchview.ListBatches(q.States, q.Env), nil }),
	"bag.view":     jsonCall(func(q bagArgs) (batchview.BagView, error) { return batchview.ViewBag(q.State, q.Bag, q.Env) }),
	"weighing.advise": jsonCall(func(q weighingArgs) (batchview.Weighing, error) {
		return batchview.AdviseWeighing(q.State, q.Colour, q.Grams, q.Env)
	}),
	"blanks.view": jsonCall(func(q blanksArgs) ([]batchview.BlankView, error) {
		return batchview.ViewBlanks(q.State, q.Tags, q.Env), nil
	}),
	"blanks.draft": jsonCall(func(q blanksDraftArgs) ([]journal.LabelNumberRange, error) {
		return batchview.DraftBlanks(q.State, q.Env, q.Count)
	}),
	"numbers.count": jsonCall(func(q batchArgs) (int, error) { return q.State.Numbers.FreeCount(q.Env.Device), nil }),
	"blank.find":    jsonCall(func(q blankFindArgs) (batch.BlankLabel, error) { return batchview.FindBlank(q.State, q.Blank) }),
	"label.find": jsonCall(func(q labelFindArgs) (batchview.LabelTarget, error) {
		return batchview.FindLabel(q.State, q.Token, q.Typed), nil
	}),
	"labels.findTyped": jsonCall(func(q typedFindArgs) (batchview.FoundLabels, error) {
		return batchview.FindTyped(q.States, q.Typed, q.Env)
	}),
	"bags.draft": jsonCall(func(q bagDraftArgs) ([]batchview.BagClosing, error) {
		return batchview.DraftBags(q.State, q.Env, q.BagClosed, q.Blank, q.Count)
	}),
	"drafts.check": jsonCall(func(q draftCheckArgs) (struct{}, error) {
		return struct{}{}, batchview.CheckDrafts(q.State, q.Env, q.Drafts)
	}),
	"batch.repeat": jsonCall(func(q repeatArgs) (batchview.Repetition, error) {
		return batchview.Repeat(q.State, q.Pieces, q.IDs, q.Items, q.Env)
	}),
	"batch.compare": jsonCall(func(q compareArgs) (batchview.Comparison, error) {
		return batchview.Compare(q.A, q.B, q.BagA, q.BagB, q.Env), nil
	}),
	"results.find": jsonCall(func(q resultsArgs) (batchview.ResultsView, error) {
		return batchview.FindResults(q.States, q.Tried, q.Query, q.Env), nil
	}),
	"result.view": jsonCall(func(q bagArgs) (batchview.ResultView, error) { return batchview.ViewResult(q.State, q.Bag, q.Env) }),
	"results.table": jsonCall(func(q batchesArgs) (tableText, error) {
		return tableText{string(batchview.WriteTable(batchview.BagTable(q.States, q.Env)))}, nil
	}),
	"why.explain": jsonCall(func(q whyArgs) (batchview.WhyView, error) {
		return batchview.ExplainBag(q.State, q.Bag, q.Faults, q.Env)
	}),
	"place.view": jsonCall(func(q placeArgs) (batchview.PlaceView, error) {
		return batchview.ViewPlaceWithBags(q.Place, q.States, q.Env), nil
	}),
	"calendar.make": jsonCall(func(q calendarArgs) (batchview.CalendarFile, error) {
		return batchview.MakeCalendar(q.States, q.Order, q.Env)
	}),
	"wash.view": jsonCall(func(q washArgs) (batchview.WashDay, error) {
		return batchview.ViewWashDay(q.States, q.Order, q.Env), nil
	}),
	"extremes.date": jsonCall(func(q envArgs) (batchview.ExtremeTimes, error) { return batchview.DateExtremes(q.Env), nil }),
	"alarms.list":   jsonCall(func(q batchesArgs) ([]batchview.Alarm, error) { return batchview.ListAlarms(q.States, q.Env), nil }),
	"label.view":    jsonCall(func(q labelArgs) (batchview.LabelView, error) { return batchview.ViewLabel(q.Address, q.Env) }),
	"qr.encode":     jsonCall(func(q textArgs) (sheet.Matrix, error) { return sheet.QR(q.Text) }),
	"choices":       jsonCall(func(struct{}) (batchview.Choices, error) { return batchview.NewChoices(), nil }),
	"caps.choose":   jsonCall(chooseCapLetters),
}

// An argument that a page may leave out has the tag omitempty: the declarations that go
// generate writes for the page depend on it.

// factsArgs holds the facts to build a state from, and the time by the hub's clock.
type factsArgs struct {
	Facts []journal.Fact `json:"facts"`
	Now   zone.Instant   `json:"now"`
}

// stateArgs are a scope and its facts, to build its state from.
type stateArgs struct {
	Scope journal.Scope  `json:"scope"`
	Facts []journal.Fact `json:"facts"`
	Style unit.Style     `json:"style"`
	Now   zone.Instant   `json:"now"` // by the hub's clock
}

// historyArgs holds the facts to put into words.
type historyArgs struct {
	Facts  []journal.Fact    `json:"facts"`
	Env    batchview.ViewEnv `json:"env"`
	Gather bool              `json:"gather,omitempty"` // one line for the same of several bags
}

// batchArgs name one batch.
type batchArgs struct {
	State batch.State       `json:"state"`
	Env   batchview.ViewEnv `json:"env"`
}

// batchesArgs are batches to show together.
type batchesArgs struct {
	States []batch.State     `json:"states"`
	Env    batchview.ViewEnv `json:"env"`
}

// todayArgs are the open batches, and how many are finished.
type todayArgs struct {
	States   []batch.State     `json:"states"`
	Finished int               `json:"finished,omitempty"`
	Env      batchview.ViewEnv `json:"env"`
}

// tableText is a table as CSV.
type tableText struct {
	Text string `json:"text"`
}

// washArgs are the open batches, and what there is to wash with.
type washArgs struct {
	States []batch.State       `json:"states"`
	Order  batchview.WashOrder `json:"order"`
	Env    batchview.ViewEnv   `json:"env"`
}

// envArgs are what a view depends on.
type envArgs struct {
	Env batchview.ViewEnv `json:"env"`
}

// calendarArgs are batches, and which of their bags a calendar is about.
type calendarArgs struct {
	States []batch.State           `json:"states"`
	Env    batchview.ViewEnv       `json:"env"`
	Order  batchview.CalendarOrder `json:"order"`
}

// bagArgs name a bag of a batch.
type bagArgs struct {
	State batch.State       `json:"state"`
	Env   batchview.ViewEnv `json:"env"`
	Bag   journal.ID        `json:"bag"`
}

// repeatArgs name a batch to repeat, which pieces of it (all without), new ids, and what is on
// the shelf.
type repeatArgs struct {
	State  batch.State             `json:"state"`
	Env    batchview.ViewEnv       `json:"env"`
	Pieces []batchview.RepeatPiece `json:"pieces,omitempty"`
	IDs    []journal.ID            `json:"ids"`
	Items  []shelf.Item            `json:"items,omitempty"`
}

// compareArgs are two batches, and which bag of each; without one, the first that was opened.
type compareArgs struct {
	A    batch.State       `json:"a"`
	B    batch.State       `json:"b"`
	BagA journal.ID        `json:"bagA,omitempty"`
	BagB journal.ID        `json:"bagB,omitempty"`
	Env  batchview.ViewEnv `json:"env"`
}

// resultsArgs are the batches to search, and what for.
type resultsArgs struct {
	States []batch.State         `json:"states"`
	Tried  []batch.DesignResult  `json:"tried,omitempty"` // how pieces of designs came out
	Env    batchview.ViewEnv     `json:"env"`
	Query  batchview.ResultQuery `json:"query"`
}

// whyArgs name a bag and what is wrong with it; without faults, what it was rated with.
type whyArgs struct {
	State  batch.State       `json:"state"`
	Env    batchview.ViewEnv `json:"env"`
	Bag    journal.ID        `json:"bag"`
	Faults []cause.Fault     `json:"faults,omitempty"`
}

// weighingArgs are the grams of powder weighed for a colour of a batch.
type weighingArgs struct {
	State  batch.State       `json:"state"`
	Env    batchview.ViewEnv `json:"env"`
	Colour journal.ID        `json:"colour"`
	Grams  float64           `json:"grams"`
}

// labelFindArgs are a label's token, or the id typed from the label.
type labelFindArgs struct {
	State batch.State `json:"state"`
	Token string      `json:"token,omitempty"`
	Typed string      `json:"typed,omitempty"`
}

// typedFindArgs are a number or an id that was typed from a label, and the batches to
// look in.
type typedFindArgs struct {
	States []batch.State     `json:"states"`
	Env    batchview.ViewEnv `json:"env"`
	Typed  string            `json:"typed"`
}

// blanksArgs ask for the numbered blanks of a batch, or for the tags of its pieces.
type blanksArgs struct {
	State batch.State       `json:"state"`
	Env   batchview.ViewEnv `json:"env"`
	Tags  bool              `json:"tags"`
}

// blanksDraftArgs ask for count numbers.
type blanksDraftArgs struct {
	State batch.State       `json:"state"`
	Env   batchview.ViewEnv `json:"env"`
	Count int               `json:"count"`
}

// blankFindArgs are a batch, and a numbered blank as it was scanned or typed.
type blankFindArgs struct {
	State batch.State `json:"state"`
	Blank string      `json:"blank"`
}

// bagDraftArgs are bags that are about to be closed alike, with number 0: how many, and the
// numbered blank on the first as it was scanned or typed.
type bagDraftArgs struct {
	State batch.State       `json:"state"`
	Env   batchview.ViewEnv `json:"env"`
	Blank string            `json:"blank,omitempty"`
	Count int               `json:"count,omitempty"` // 1 if left out
	journal.BagClosed
}

// draftCheckArgs are drafts that are about to be recorded of a batch.
type draftCheckArgs struct {
	State  batch.State       `json:"state"`
	Env    batchview.ViewEnv `json:"env"`
	Drafts []journal.Draft   `json:"drafts"`
}

// placeArgs name one place, and the batches whose bags may stand there.
type placeArgs struct {
	Place  batch.PlaceState  `json:"place"`
	States []batch.State     `json:"states,omitempty"`
	Env    batchview.ViewEnv `json:"env"`
}

// labelArgs are the address that a label's code holds.
type labelArgs struct {
	Address string            `json:"address"`
	Env     batchview.ViewEnv `json:"env"`
}

// textArgs are the text for a QR code.
type textArgs struct {
	Text string `json:"text"`
}

// capsArgs are a colour's name, and the caps that other colours of the batch have.
type capsArgs struct {
	Name  string   `json:"name"`
	Taken []string `json:"taken"`
}

// capLetters are the letters on the caps of a colour's bottles.
type capLetters struct {
	Caps string `json:"caps"`
}

func chooseCapLetters(q capsArgs) (capLetters, error) {
	c, err := batchview.ChooseColourCaps(q.Name, q.Taken)
	return capLetters{c}, err
}
