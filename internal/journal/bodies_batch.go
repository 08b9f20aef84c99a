package journal

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// BatchStarted begins a batch. Secret (16 random bytes, as an ID) is what label
// tokens are derived from, so that any phone of the batch can print.
type BatchStarted struct {
	Name     string       `json:"name"`
	Secret   ID           `json:"secret"`
	Note     string       `json:"note,omitempty"`
	Deadline zone.Instant `json:"for,omitempty"`   // when it is wanted
	RinseAt  zone.Instant `json:"rinse,omitempty"` // when its bags are to be rinsed
}

func (b *BatchStarted) check() error {
	return firstError(checkName("batch", b.Name), b.Secret.Check("secret"))
}

// BatchChanged holds the properties of a batch that change; a missing one stays as it was.
type BatchChanged struct {
	Name     *string       `json:"name,omitempty"`
	Note     *string       `json:"note,omitempty"`
	Deadline *zone.Instant `json:"for,omitempty"`
	RinseAt  *zone.Instant `json:"rinse,omitempty"`
}

func (b *BatchChanged) check() error {
	if b.Name != nil {
		return checkName("batch", *b.Name)
	}
	return nil
}

// BatchRepeated names the batch that is repeated and the factor.
type BatchRepeated struct {
	From  ID      `json:"from"`
	Scale float64 `json:"scale"`
}

func (b *BatchRepeated) check() error {
	return firstError(b.From.Check("batch"), checkRange("scale", b.Scale, 0.01, 1000))
}

// MaxPieces says how many pieces of one kind a batch or a bag holds at most.
const MaxPieces = 500

// PieceAdded is count pieces of one kind. Grams is the dry weight of one;
// WeightAssumed says that it is the kind's default and was not weighed.
type PieceAdded struct {
	Kind           string  `json:"kind"`
	Name           string  `json:"name,omitempty"`
	Count          int     `json:"count"`
	Grams          float64 `json:"grams"`
	WeightAssumed  bool    `json:"assumed,omitempty"`
	Fibre          string  `json:"fibre,omitempty"`
	MainFibreShare float64 `json:"share,omitempty"` // of the fibre in a blend, 0 to 1; 0 is not said
	Fold           string  `json:"fold,omitempty"`
	PieceMore
	TypedTexts
}

// PieceMore holds what else may be known about pieces. Blend lists all fibres of a blend.
// Colours are the colours that these pieces get, with their shares; if it is empty they get all
// colours of the batch. Depth is the depth of the dye: 1 is as strong as the jug, 0 is not set.
// Price is the price of one piece.
type PieceMore struct {
	Blend   []FibreShare  `json:"blend,omitempty"`
	Colours []ColourInBag `json:"colours,omitempty"`
	Depth   float64       `json:"depth,omitempty"`
	Note    string        `json:"note,omitempty"`
	Owner   string        `json:"owner,omitempty"`
	Price   float64       `json:"price,omitempty"`
}

// FibreShare is a fibre of a blend with its share by weight, from 0 to 1.
type FibreShare struct {
	Fibre string  `json:"fibre"`
	Share float64 `json:"share"`
}

const maxNote = 500 // letters of a note on pieces

func (b *PieceMore) check() error {
	for _, f := range b.Blend {
		if err := firstError(checkName("fibre", f.Fibre), checkRange("share of fibre", f.Share, 0, 1)); err != nil {
			return err
		}
	}
	for _, c := range b.Colours {
		if err := firstError(c.Colour.Check("colour"), checkRange("share", c.Share, 0, 1)); err != nil {
			return err
		}
	}
	if len([]rune(b.Note)) > maxNote || len([]rune(b.Owner)) > maxName {
		return fault.New(fault.Input, "the note or the owner is too long").WithHint("a note of up to %d letters, an owner of up to %d", maxNote, maxName)
	}
	return firstError(checkRange("depth", b.Depth, 0, 5), checkRange("price of one piece", b.Price, 0, 1e9))
}

func (b *PieceAdded) check() error {
	return firstError(b.PieceMore.check(), checkName("kind of piece", b.Kind), checkLength("name of a piece", b.Name, maxLineText),
		checkLength("fold", b.Fold, maxLineText), checkRange("count", float64(b.Count), 1, MaxPieces),
		checkRange("dry weight of one piece in grams", b.Grams, 1, 20000), checkRange("share of fibre", b.MainFibreShare, 0, 1))
}

// PieceChanged holds the properties of a piece that change; a missing one stays as it was.
type PieceChanged struct {
	Kind           *string  `json:"kind,omitempty"`
	Name           *string  `json:"name,omitempty"`
	Count          *int     `json:"count,omitempty"`
	Grams          *float64 `json:"grams,omitempty"`
	WeightAssumed  *bool    `json:"assumed,omitempty"`
	Fibre          *string  `json:"fibre,omitempty"`
	MainFibreShare *float64 `json:"share,omitempty"`
	Fold           *string  `json:"fold,omitempty"`
	// As in PieceMore.
	Blend   *[]FibreShare  `json:"blend,omitempty"`
	Colours *[]ColourInBag `json:"colours,omitempty"`
	Depth   *float64       `json:"depth,omitempty"`
	Note    *string        `json:"note,omitempty"`
	Owner   *string        `json:"owner,omitempty"`
	Price   *float64       `json:"price,omitempty"`
	TypedTexts
}

func (b *PieceChanged) check() error {
	var more PieceMore
	set(&more.Blend, b.Blend)
	set(&more.Colours, b.Colours)
	set(&more.Depth, b.Depth)
	set(&more.Note, b.Note)
	set(&more.Owner, b.Owner)
	set(&more.Price, b.Price)
	if err := more.check(); err != nil {
		return err
	}
	if b.Count != nil {
		if err := checkRange("count", float64(*b.Count), 1, MaxPieces); err != nil {
			return err
		}
	}
	return firstError(checkLength("kind of piece", valueOf(b.Kind), maxLineText), checkLength("name of a piece", valueOf(b.Name), maxLineText),
		checkLength("fold", valueOf(b.Fold), maxLineText), checkOptional("dry weight of one piece in grams", b.Grams, 1, 20000))
}

// valueOf returns the value, "" where there is none.
func valueOf(value *string) (text string) {
	set(&text, value)
	return text
}

// set sets to, where there is a value.
func set[T any](to *T, value *T) {
	if value != nil {
		*to = *value
	}
}

// PieceSplit records pieces that leave the subject for a line of their own, which a PieceAdded
// of the same count begins.
type PieceSplit struct {
	Into  ID  `json:"into"`
	Count int `json:"count"`
}

func (b *PieceSplit) check() error {
	return firstError(b.Into.Check("piece"), checkRange("count", float64(b.Count), 1, MaxPieces))
}

// PieceScoured is the wash before dyeing.
type PieceScoured struct {
	Celsius *float64 `json:"celsius,omitempty"`
}

func (b *PieceScoured) check() error { return checkOptional("temperature", b.Celsius, 0, 100) }

// PieceTied describes how a piece was bound.
type PieceTied struct {
	Fold  string `json:"fold"`
	Bands int    `json:"bands,omitempty"`
}

func (b *PieceTied) check() error { return checkName("fold", b.Fold) }

// PieceDyed is the dye a piece got, section by section, mL a side.
type PieceDyed struct {
	Sections []Section `json:"sections"`
}

// Section is a part of a folded piece and the dye it got.
type Section struct {
	Name   string  `json:"name,omitempty"`
	Colour ID      `json:"colour"`
	ML     float64 `json:"ml"`
}

func (b *PieceDyed) check() error {
	for _, s := range b.Sections {
		if err := firstError(s.Colour.Check("colour"), checkRange("volume in mL", s.ML, 0, 1e5)); err != nil {
			return err
		}
	}
	return nil
}

// MaxPhotoBytes says how many bytes a photo may have (judgement: the app sends a fifth of
// that, and a whole batch must pass over a weak network). The limit in pixels is photo.MaxPixels.
const MaxPhotoBytes = 2_000_000

// PiecePhotographed is a photo by its SHA-256 in hex, how far the piece was then (a bag's
// stage: cure, opened, rinsed, done), and the bag it was in.
type PiecePhotographed struct {
	SHA256 string `json:"sha256"`
	Stage  string `json:"stage,omitempty"`
	Bag    ID     `json:"bag,omitempty"`
}

func (b *PiecePhotographed) check() error {
	return firstError(checkPhotoHash(b.SHA256), checkOptionalID("bag", b.Bag))
}

// IsPhotoHash says whether a text has the form of a photo's hash: SHA-256 in hex.
func IsPhotoHash(text string) bool {
	return len(text) == 64 && strings.Trim(text, "0123456789abcdef") == ""
}

func checkPhotoHash(hash string) error {
	if !IsPhotoHash(hash) {
		return fault.New(fault.Input, "photo %q is not a SHA-256 in hex", shorten(hash))
	}
	return nil
}

// dyeClasses are the values of a colour's class; package dye gives them words.
const dyeClasses = "dichlorotriazine vinyl-sulfone monochlorotriazine unknown"

// ColourChosen is a colour of the batch: its name, the two letters on its cap,
// how it looks, its class, its own strength at full depth in g/L, the depth that
// is wanted of it, and the volume to make in mL (0: as the plan says).
type ColourChosen struct {
	Name       string  `json:"name"`
	CapLetters string  `json:"caps"`
	RGB        string  `json:"rgb"` // #rrggbb
	Class      string  `json:"class"`
	Generic    string  `json:"generic,omitempty"` // C.I. generic name
	Strength   float64 `json:"strength"`
	Depth      float64 `json:"depth"`
	VolumeML   float64 `json:"ml,omitempty"`
	ColourMore
	TypedTexts
}

// ColourMore is what may be known of a colour besides: the powder on the shelf; where it is
// measured by the cloth, the powder on the dry weight of what wears it (OnCloth); where it is
// given, the powder in grams; what one bottle takes in mL, and how many there are.
type ColourMore struct {
	Stock   ID      `json:"stock,omitempty"`
	OnCloth float64 `json:"on_cloth,omitempty"`
	Grams   float64 `json:"grams,omitempty"`
	Holds   float64 `json:"holds,omitempty"`
	Bottles int     `json:"bottles,omitempty"`
}

func (b *ColourMore) check() error {
	return firstError(checkOptionalID("powder", b.Stock), checkRange("powder on the cloth", b.OnCloth, 0, 0.5), checkRange("powder in grams", b.Grams, 0, 1e4),
		checkRange("volume of a bottle in mL", b.Holds, 0, 1e5), checkRange("number of bottles", float64(b.Bottles), 0, 100))
}

func (b *ColourChosen) check() error {
	return firstError(b.ColourMore.check(), checkName("colour", b.Name), checkCaps(b.CapLetters), checkRGB(b.RGB), checkOneOf("class", b.Class, dyeClasses),
		checkRange("strength in g/L", b.Strength, 0.1, 200), checkRange("depth", b.Depth, 0.01, 5), checkRange("volume in mL", b.VolumeML, 0, 1e5))
}

// ColourChanged holds the properties of a colour that change; a missing one stays as it was.
type ColourChanged struct {
	Name       *string  `json:"name,omitempty"`
	CapLetters *string  `json:"caps,omitempty"`
	RGB        *string  `json:"rgb,omitempty"`
	Class      *string  `json:"class,omitempty"`
	Generic    *string  `json:"generic,omitempty"`
	Strength   *float64 `json:"strength,omitempty"`
	Depth      *float64 `json:"depth,omitempty"`
	VolumeML   *float64 `json:"ml,omitempty"`
	// As in ColourMore.
	Stock   *ID      `json:"stock,omitempty"`
	OnCloth *float64 `json:"on_cloth,omitempty"`
	Grams   *float64 `json:"grams,omitempty"`
	Holds   *float64 `json:"holds,omitempty"`
	Bottles *int     `json:"bottles,omitempty"`
	TypedTexts
}

func (b *ColourChanged) check() error {
	var more ColourMore
	set(&more.Stock, b.Stock)
	set(&more.OnCloth, b.OnCloth)
	set(&more.Grams, b.Grams)
	set(&more.Holds, b.Holds)
	set(&more.Bottles, b.Bottles)
	errs := []error{more.check(), checkOptional("strength in g/L", b.Strength, 0.1, 200), checkOptional("depth", b.Depth, 0.01, 5), checkOptional("volume in mL", b.VolumeML, 0, 1e5)}
	if b.Name != nil {
		errs = append(errs, checkName("colour", *b.Name))
	}
	if b.CapLetters != nil {
		errs = append(errs, checkCaps(*b.CapLetters))
	}
	if b.RGB != nil {
		errs = append(errs, checkRGB(*b.RGB))
	}
	if b.Class != nil {
		errs = append(errs, checkOneOf("class", *b.Class, dyeClasses))
	}
	return firstError(errs...)
}

func checkCaps(s string) error {
	if (len(s) == 1 || len(s) == 2) && strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "" && !strings.Contains(" S M L X ", " "+s+" ") {
		return nil
	}
	return fault.New(fault.Input, "the cap letters %q are not accepted", shorten(s)).
		WithHint("use one or two capital letters, but not S, M, L or X alone: they are sizes")
}

func checkRGB(s string) error {
	if len(s) == 7 && s[0] == '#' && strings.Trim(s[1:], "0123456789abcdef") == "" {
		return nil
	}
	return fault.New(fault.Input, "the colour %q is not accepted", shorten(s)).WithHint("# and six hex digits in lower case, such as #b5372a")
}

// SoakMixed is water in mL and soda ash in grams as weighed, with its form
// (anhydrous, monohydrate, decahydrate), the water's temperature, and its hardness in
// mg/L of calcium carbonate (0 if not given).
type SoakMixed struct {
	WaterML   float64  `json:"water"`
	SodaGrams float64  `json:"soda"`
	Form      string   `json:"form,omitempty"`
	Celsius   *float64 `json:"celsius,omitempty"`
	Stock     ID       `json:"stock,omitempty"` // the soda ash on the shelf; if not given, the first one there
	Hardness  float64  `json:"hardness,omitempty"`
	TypedTexts
}

func (b *SoakMixed) check() error {
	return firstError(checkOptionalID("soda ash", b.Stock), checkRange("hardness in mg/L", b.Hardness, 0, 5000), checkRange("water in mL", b.WaterML, 10, 1e6), checkRange("soda ash in grams", b.SodaGrams, 0, 1e5), checkOptional("temperature", b.Celsius, 0, 100))
}

// SoakChecked is a measured pH, by meter or strip.
type SoakChecked struct {
	PH           float64  `json:"ph"`
	MeasuredWith string   `json:"with"`
	Celsius      *float64 `json:"celsius,omitempty"`
	TypedTexts
}

func (b *SoakChecked) check() error {
	return firstError(checkRange("pH", b.PH, 0, 14), checkOneOf("way of measuring", b.MeasuredWith, "meter strip"))
}

// SoakPieces names the pieces that went in or came out; if it names none, all did.
type SoakPieces struct {
	Pieces []ID `json:"pieces,omitempty"`
}

func (b *SoakPieces) check() error { return checkIDs("piece", b.Pieces) }

// JugMixed records powder in grams, as weighed, made up to a volume in mL.
type JugMixed struct {
	Colour        ID       `json:"colour"`
	PowderGrams   float64  `json:"powder"`
	VolumeML      float64  `json:"ml"`
	UreaGrams     float64  `json:"urea,omitempty"`
	SoftenerGrams float64  `json:"softener,omitempty"`
	AlginateGrams float64  `json:"alginate,omitempty"`
	Celsius       *float64 `json:"celsius,omitempty"`
	Stock         ID       `json:"stock,omitempty"` // the powder on the shelf; if not given, that of the colour
	TypedTexts
}

func (b *JugMixed) check() error {
	return firstError(checkOptionalID("powder", b.Stock), b.Colour.Check("colour"), checkRange("powder in grams", b.PowderGrams, 0, 1e4), checkRange("volume in mL", b.VolumeML, 1, 1e5))
}

// JugThinned is the volume in mL that the jug was made up to.
type JugThinned struct {
	AddedML float64 `json:"ml"`
	TypedTexts
}

func (b *JugThinned) check() error { return checkRange("volume in mL", b.AddedML, 1, 1e5) }

// JugActivated is soda ash in grams put into the jug.
type JugActivated struct {
	SodaGrams float64 `json:"soda"`
}

func (b *JugActivated) check() error { return checkRange("soda ash in grams", b.SodaGrams, 0, 1e4) }

// BottleFilled is a bottle filled from a jug.
type BottleFilled struct {
	Jug   ID      `json:"jug"`
	ML    float64 `json:"ml"`
	Count int     `json:"count"`
}

func (b *BottleFilled) check() error {
	return firstError(b.Jug.Check("jug"), checkRange("volume in mL", b.ML, 1, 1e5), checkRange("count", float64(b.Count), 1, 100))
}

func checkIDs(what string, list []ID) error {
	for _, id := range list {
		if err := id.Check(what); err != nil {
			return err
		}
	}
	return nil
}
