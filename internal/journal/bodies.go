package journal

import (
	"encoding/json"
	"math"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// Bodies hold numbers in the base units of package unit (g, mL, °C, g/L, s) and,
// under typed, what the person wrote. An optional property is a pointer, so
// that "not said" and zero differ.

// TypedTexts is what the person wrote, by property.
type TypedTexts struct {
	Texts map[string]string `json:"typed,omitempty"`
}

// NoteBody is the body of a kind that says all by its name.
type NoteBody struct {
	Note string `json:"note,omitempty"`
}

func (*NoteBody) check() error { return nil }

// FactTarget names the fact that is withdrawn or restored.
type FactTarget struct {
	Target ID `json:"target"`
}

func (b *FactTarget) check() error { return b.Target.Check("target") }

// ClockMeasured says how far the writing device's clock is from the hub's.
type ClockMeasured struct {
	Offset zone.Span `json:"offset"` // ms to add to the device's clock
}

func (b *ClockMeasured) check() error {
	if b.Offset < -MaxClockOffset || b.Offset > MaxClockOffset {
		return fault.New(fault.Input, "a clock cannot be off by %d ms", int64(b.Offset))
	}
	return nil
}

// NumbersLeased is a block of bag numbers, both ends included, for one device.
type NumbersLeased struct {
	Device      ID  `json:"device"`
	FirstNumber int `json:"from"`
	LastNumber  int `json:"to"`
}

func (b *NumbersLeased) check() error {
	if b.FirstNumber < 1 || b.LastNumber < b.FirstNumber {
		return fault.New(fault.Input, "numbers %d to %d are not a block", b.FirstNumber, b.LastNumber)
	}
	return b.Device.Check("device")
}

// DeviceJoined is a phone and the letter it puts behind numbers it gives
// without a lease; the letter is empty when all are taken.
type DeviceJoined struct {
	Name   string `json:"name"`
	Letter string `json:"letter"`
}

func (b *DeviceJoined) check() error { return checkName("phone", b.Name) }

// DeviceNamed is what a phone is called.
type DeviceNamed struct {
	Name string `json:"name"`
}

func (b *DeviceNamed) check() error { return checkName("phone", b.Name) }

// ShareOpened is a share code, hashed, and until when it is good (0: until closed).
type ShareOpened struct {
	Hash  string       `json:"hash"`
	Until zone.Instant `json:"until,omitempty"`
}

func (b *ShareOpened) check() error { return checkName("share code", b.Hash) }

// CostSet is a price in the person's own currency for an amount in base units.
type CostSet struct {
	Name   string  `json:"what"`
	Price  float64 `json:"price"`
	Amount float64 `json:"amount"`
	Unit   string  `json:"unit"`
	TypedTexts
}

func (b *CostSet) check() error {
	return firstError(checkName("what is priced", b.Name), checkRange("price", b.Price, 0, 1e9), checkRange("amount", b.Amount, 0, 1e9))
}

// PlaceNamed is a place where bags stand.
type PlaceNamed struct {
	Name string `json:"name"`
}

func (b *PlaceNamed) check() error { return checkName("place", b.Name) }

// TemperatureReading is a temperature in °C with its error in K. Where says where the thermometer
// is: in the air, in a bag of wet cloth without dye that stands among the others (dummy), or
// on a bag.
type TemperatureReading struct {
	Celsius float64  `json:"celsius"`
	Where   string   `json:"where,omitempty"` // air, dummy, bag
	Error   *float64 `json:"error,omitempty"`
	Sensor  string   `json:"sensor,omitempty"`
	TypedTexts
}

func (b *TemperatureReading) check() error {
	return firstError(checkRange("temperature", b.Celsius, -40, 90), checkOptionalWord("thermometer", b.Where, "air dummy bag"))
}

// PlaceExtremes is the lowest and highest temperature in °C since a thermometer with a memory
// was last reset, usually of the last night and day. LowAt and HighAt are when they were,
// as far as that is known from the hour.
type PlaceExtremes struct {
	Low    float64      `json:"low"`
	High   float64      `json:"high"`
	LowAt  zone.Instant `json:"low_at"`
	HighAt zone.Instant `json:"high_at"`
	Where  string       `json:"where,omitempty"`
	TypedTexts
}

func (b *PlaceExtremes) check() error {
	if b.Low > b.High {
		return fault.New(fault.Input, "the lowest (%.6g °C) is above the highest (%.6g °C)", b.Low, b.High).WithHint("put the lowest first")
	}
	return firstError(checkRange("lowest temperature", b.Low, -40, 90), checkRange("highest temperature", b.High, -40, 90),
		checkOptionalWord("thermometer", b.Where, "air dummy bag"))
}

// checkOptionalWord checks a word that may be missing.
func checkOptionalWord(what, word, words string) error {
	if word == "" {
		return nil
	}
	return checkOneOf(what, word, words)
}

// UsualTemperatures is the usual low of the night and high of the day in °C.
type UsualTemperatures struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	TypedTexts
}

func (b *UsualTemperatures) check() error {
	if b.High < b.Low {
		return fault.New(fault.Input, "the day's high of %g °C is below the night's low of %g °C", b.High, b.Low)
	}
	return firstError(checkRange("low", b.Low, -40, 90), checkRange("high", b.High, -40, 90))
}

// SensorAdded is a sensor and the hash of its token.
type SensorAdded struct {
	Name string `json:"name"`
	Hash string `json:"hash"`
}

func (b *SensorAdded) check() error { return checkName("sensor", b.Name) }

// CalendarOpened is a calendar to which a program at home may subscribe, and the hash of
// the token in its address.
type CalendarOpened struct {
	Name string `json:"name"`
	Hash string `json:"hash"`
}

func (b *CalendarOpened) check() error { return checkName("calendar", b.Name) }

// firstError returns the first error there is.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

const maxName = 80

// maxLineText is how many letters a kind, a name or a fold may have that is shown on one line with others (judgement).
const maxLineText = 200

func checkName(what, name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return fault.New(fault.Missing, "the %s has no name", what).WithHint("a name of 1 to %d letters", maxName)
	case len([]rune(name)) > maxName:
		return fault.New(fault.Input, "the name %q is too long", shorten(name)).WithHint("a name of 1 to %d letters", maxName)
	case strings.ContainsAny(name, "\n\r\t"):
		return fault.New(fault.Input, "the name %q has a line end or a tab", shorten(name)).WithHint("write it on one line")
	}
	return nil
}

// checkLength checks a text that may be empty.
func checkLength(what, text string, most int) error {
	switch {
	case len([]rune(text)) > most:
		return fault.New(fault.Input, "the %s %q is too long", what, shorten(text)).WithHint("up to %d letters", most)
	case strings.ContainsAny(text, "\n\r\t"):
		return fault.New(fault.Input, "the %s %q has a line end or a tab", what, shorten(text)).WithHint("write it on one line")
	}
	return nil
}

func checkRange(what string, v, low, high float64) error {
	if v >= low && v <= high && !math.IsNaN(v) {
		return nil
	}
	return fault.New(fault.Input, "the %s %g is not accepted", what, v).WithHint("from %g to %g", low, high)
}

// checkOptional checks v only where it was said.
func checkOptional(what string, v *float64, low, high float64) error {
	if v == nil {
		return nil
	}
	return checkRange(what, *v, low, high)
}

func checkOneOf(what, word, words string) error {
	for _, w := range strings.Fields(words) {
		if w == word {
			return nil
		}
	}
	return fault.New(fault.Input, "the %s %q is not known", what, shorten(word)).
		WithHint("one of %s", strings.Join(strings.Fields(words), ", "))
}

// DecodeBody reads a fact's body as T, without control characters and text-direction marks in
// its strings.
func DecodeBody[T any](f Fact) (T, bool) {
	var b T
	return b, json.Unmarshal(PlainBody(f.Body), &b) == nil
}
