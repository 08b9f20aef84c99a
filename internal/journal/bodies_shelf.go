package journal

import "coldbatch/internal/zone"

// stockSorts are the sorts of things on the shelf. Bottles, bags and scales are counted,
// all others are weighed in grams.
const stockSorts = "dye alkali softener urea thickener bottle bag scale other"

// StockDescribed is something kept in the house.
type StockDescribed struct {
	Name       string       `json:"name"`
	StockType  string       `json:"sort"` // one of stockSorts
	Class      string       `json:"class,omitempty"`
	Generic    string       `json:"generic,omitempty"`  // C.I. generic name
	Strength   *float64     `json:"strength,omitempty"` // g/L at full depth, by its maker's record
	RGB        string       `json:"rgb,omitempty"`
	ScaleStep  *float64     `json:"division,omitempty"` // smallest step of a scale, g
	CapacityML *float64     `json:"holds,omitempty"`    // of a bottle, mL
	Lot        string       `json:"lot,omitempty"`
	Opened     zone.Instant `json:"opened,omitempty"` // when its jar was opened
	MinStock   *float64     `json:"keep,omitempty"`   // buy more below that amount
	TypedTexts
}

func (b *StockDescribed) check() error {
	return firstError(checkName("stock", b.Name), checkOneOf("sort", b.StockType, stockSorts),
		checkStock(b.Strength, b.ScaleStep, b.CapacityML, b.MinStock))
}

// StockChanged holds the properties of a thing on the shelf that change; a missing one stays
// as it was. IsGone takes the thing off the shelf: what was used of it stays in the history.
type StockChanged struct {
	Name       *string       `json:"name,omitempty"`
	Class      *string       `json:"class,omitempty"`
	Generic    *string       `json:"generic,omitempty"`
	Strength   *float64      `json:"strength,omitempty"`
	RGB        *string       `json:"rgb,omitempty"`
	ScaleStep  *float64      `json:"division,omitempty"`
	CapacityML *float64      `json:"holds,omitempty"`
	Lot        *string       `json:"lot,omitempty"`
	Opened     *zone.Instant `json:"opened,omitempty"`
	MinStock   *float64      `json:"keep,omitempty"`
	IsGone     *bool         `json:"gone,omitempty"`
	TypedTexts
}

func (b *StockChanged) check() error {
	if b.Name != nil {
		if err := checkName("stock", *b.Name); err != nil {
			return err
		}
	}
	return checkStock(b.Strength, b.ScaleStep, b.CapacityML, b.MinStock)
}

func checkStock(strength, division, holds, keep *float64) error {
	return firstError(checkOptional("strength in g/L", strength, 0.1, 200), checkOptional("smallest step in grams", division, 0.0001, 100),
		checkOptional("volume in mL", holds, 1, 1e5), checkOptional("amount to keep", keep, 0, 1e9))
}

// StockMoved is an amount of the thing that is the subject, in g or pieces. Price is what
// all of it cost, in Currency. CauseID is the fact of a batch that used it, where the batch was
// removed and its use was kept, or the colour or the batch whose plan it follows; PlannedID is what
// was planned and is met by it, as in batch.StockUse.
type StockMoved struct {
	Amount    float64 `json:"amount"`
	Price     float64 `json:"price,omitempty"`
	Currency  string  `json:"currency,omitempty"`
	Batch     ID      `json:"batch,omitempty"`
	CauseID   ID      `json:"of,omitempty"`
	PlannedID ID      `json:"meets,omitempty"`
	Note      string  `json:"note,omitempty"`
	TypedTexts
}

func (b *StockMoved) check() error {
	return firstError(checkRange("amount", b.Amount, 0, 1e9), checkRange("price", b.Price, 0, 1e9), checkOptionalID("fact that used it", b.CauseID), checkOptionalID("what it meets", b.PlannedID))
}

// SumsSet holds what the house's sums are made with; a missing property stays as it was.
type SumsSet struct {
	Currency *string  `json:"currency,omitempty"` // three letters of ISO 4217
	Hourly   *float64 `json:"hourly,omitempty"`   // an hour of work, in that currency
	Margin   *float64 `json:"margin,omitempty"`   // share of the price that is not cost, below 1
	Hardness *float64 `json:"hardness,omitempty"` // of the water, mg/L as calcium carbonate
	// What the dyer's own results put in the place of usual figures.
	PickUp *OwnFigure `json:"pick_up,omitempty"` // what full cloth holds, of its dry weight
	Cure   *OwnFigure `json:"cure,omitempty"`    // how much of the usual time is enough
	TypedTexts
}

// OwnFigure is a figure of the dyer's own, and how many results it rests on. A value of 0 is
// switched off.
type OwnFigure struct {
	Value   float64 `json:"value"`
	Results int     `json:"results"`
}

// check checks that f, where given, is switched off or from least to most.
func (f *OwnFigure) check(what string, least, most float64) error {
	if f == nil || *f == (OwnFigure{}) {
		return nil
	}
	return firstError(checkRange(what, f.Value, least, most), checkRange("number of results", float64(f.Results), 1, 1e6))
}

// The bounds of the dyer's own figures.
const (
	MinOwnPickUp, MaxOwnPickUp = 1.4, 4.0
	MinOwnCure, MaxOwnCure     = 0.5, 2.0
)

func (b *SumsSet) check() error {
	return firstError(checkOptional("price of an hour", b.Hourly, 0, 1e9), checkOptional("margin", b.Margin, 0, 0.95),
		checkOptional("hardness in mg/L", b.Hardness, 0, 5000), b.PickUp.check("what cloth holds", MinOwnPickUp, MaxOwnPickUp),
		b.Cure.check("share of the usual time", MinOwnCure, MaxOwnCure))
}

func checkOptionalID(what string, id ID) error {
	if id == "" {
		return nil
	}
	return id.Check(what)
}
