package main

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
)

// batchCalls work out and show batches, bags and places.
var batchCalls = table{
	"batch.fold":    on(func(q facts) (batch.State, error) { return batch.Build(q.Facts), nil }),
	"place.fold":    on(func(q facts) (batch.PlaceState, error) { return batch.BuildPlace(q.Facts), nil }),
	"batch.look":    on(func(q looked) (batch.View, error) { return batch.ViewBatch(q.State, q.Env), nil }),
	"batch.history": on(func(q facts) ([]batch.HistoryLine, error) { return batch.History(q.Facts, q.Env), nil }),
	"batch.today":   on(func(q several) (batch.TodayView, error) { return batch.ViewToday(q.States, q.Env), nil }),
	"batch.brief":   on(func(q several) ([]batch.BatchLine, error) { return batch.ListBatches(q.States, q.Env), nil }),
	"batch.bag":     on(func(q looked) (batch.BagView, error) { return batch.ViewBag(q.State, q.Bag, q.Env) }),
	"batch.weigh":   on(func(q looked) (batch.Weighing, error) { return batch.AdviseWeighing(q.State, q.Colour, q.Grams, q.Env) }),
	"batch.blanks":  on(func(q blanks) ([]batch.BlankView, error) { return batch.ViewBlanks(q.State, q.Tags, q.Env), nil }),
	"blanks.draft":  on(func(q blanks) ([]journal.NumberRange, error) { return batch.DraftBlanks(q.State, q.Env, q.Count) }),
	"blanks.left":   on(func(q blanks) (int, error) { return q.State.Numbers.FreeCount(q.Env.Device), nil }),
	"blank.find":    on(func(q drafted) (batch.Blank, error) { return batch.FindBlank(q.State, q.Blank) }),
	"bag.find":      on(func(q sought) (batch.LabelTarget, error) { return batch.FindLabel(q.State, q.Token, q.Typed), nil }),
	"bag.draft":     on(func(q drafted) (batch.BagClosing, error) { return batch.DraftBag(q.State, q.Env, q.BagClosed, q.Blank) }),
	"place.look":    on(func(q placed) (batch.PlaceView, error) { return batch.ViewPlace(q.Place, q.Env), nil }),
	"label.show":    on(func(q labelled) (batch.LabelView, error) { return batch.ViewLabel(q.Address, q.Env) }),
	"label.id":      on(typedID),
	"label.qr":      on(func(q labelled) (sheet.Matrix, error) { return sheet.QR(q.Text) }),
	"choices":       on(func(struct{}) (batch.Choices, error) { return batch.NewChoices(), nil }),
	"colour.caps":   on(caps),
}

// facts are facts to work something out from, for a screen in env.
type facts struct {
	Facts []journal.Fact `json:"facts"`
	Env   batch.ViewEnv  `json:"env"`
}

// looked is one batch to look at: one of its bags, or what was weighed of one of
// its colours.
type looked struct {
	State  batch.State   `json:"state"`
	Env    batch.ViewEnv `json:"env"`
	Bag    journal.ID    `json:"bag"`
	Colour journal.ID    `json:"colour"`
	Grams  float64       `json:"grams"`
}

// sought is a label's token, or the id typed from it, to find in a batch.
type sought struct {
	State batch.State `json:"state"`
	Token string      `json:"token"`
	Typed string      `json:"typed"`
}

// blanks are labels to print before their bags are closed: numbered blanks, or tags
// of pieces.
type blanks struct {
	State batch.State   `json:"state"`
	Env   batch.ViewEnv `json:"env"`
	Count int           `json:"count"`
	Tags  bool          `json:"tags"`
}

// drafted is a bag that is about to be closed, and the numbered blank on it as it
// was scanned or typed, if any.
type drafted struct {
	State batch.State   `json:"state"`
	Env   batch.ViewEnv `json:"env"`
	Blank string        `json:"blank"`
	journal.BagClosed
}

// placed is one place to look at.
type placed struct {
	Place batch.PlaceState `json:"place"`
	Env   batch.ViewEnv    `json:"env"`
}

// several are batches to look at together.
type several struct {
	States []batch.State `json:"states"`
	Env    batch.ViewEnv `json:"env"`
}

// labelled is what was scanned, or is to be put into a code.
type labelled struct {
	Address string        `json:"address"`
	Text    string        `json:"text"`
	Typed   string        `json:"typed"`
	Env     batch.ViewEnv `json:"env"`
}

func typedID(q labelled) (map[string]string, error) {
	id, err := label.ParseID(q.Typed)
	return map[string]string{"id": id}, err
}

func caps(q struct {
	Name  string   `json:"name"`
	Taken []string `json:"taken"`
}) (map[string]string, error) {
	c, err := batch.ChooseCaps(q.Name, q.Taken)
	return map[string]string{"caps": c}, err
}
