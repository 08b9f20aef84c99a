// Package journal holds facts: records of what happened, each written once and never
// changed. Call Author.MakeFacts to make facts, Union to merge the sets of two phones,
// Ordered to sort them, and Effective to leave out those that were withdrawn. Package
// batch works out what the facts mean for a batch. Kinds lists every kind of fact.
package journal

import (
	"bytes"
	"encoding/json"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// Fact is one thing that happened. Once written its fields are never assigned
// again: it travels and is stored as the very JSON it was read from, so that an
// older program passes on what it does not know.
type Fact struct {
	ID            ID              `json:"id"`
	Stamp         Stamp           `json:"stamp"`
	Device        ID              `json:"device"`
	Scope         Scope           `json:"scope"`
	Subject       ID              `json:"subject"`
	Kind          string          `json:"kind"`
	Version       int             `json:"v"`
	NeededVersion int             `json:"need"`
	At            zone.Instant    `json:"at"`
	TZ            string          `json:"tz"`
	Clock         *Clock          `json:"clock,omitempty"`
	Body          json.RawMessage `json:"body"`

	raw []byte
}

// Clock says how far the writer's clock was off when it wrote, as far as it knew.
type Clock struct {
	Offset zone.Span `json:"offset"` // ms to add to the writer's clock to get the hub's
	Age    zone.Span `json:"age"`    // ms since that was measured
}

// ClockSlack says how many ms a clock may be off before times are corrected and the
// screens say so (judgement): two good clocks in one house differ by less.
const ClockSlack = 2 * zone.Minute

// MaxClockOffset is the most that a clock can be off, either way, about 200 years.
const MaxClockOffset = 200 * 365 * zone.Day

// Bounds of a fact; what lies outside is refused with a sentence.
const (
	maxBody = 16 << 10
	maxFact = 24 << 10
	maxKind = 40
	maxTZ   = 64
)

type factEnvelope Fact

// UnmarshalJSON reads one fact and checks its envelope, not its body: the body
// of an unknown kind cannot be checked.
func (f *Fact) UnmarshalJSON(b []byte) error { return f.UnmarshalOwned(bytes.Clone(b)) }

// UnmarshalOwned is UnmarshalJSON for a text that the fact may keep: nobody changes it
// afterwards.
func (f *Fact) UnmarshalOwned(b []byte) error {
	if len(b) > maxFact {
		return fault.New(fault.Input, "a fact of %d bytes is more than %d", len(b), maxFact)
	}
	if got, ok := parseFactFast(b); ok {
		if err := got.check(); err != nil {
			return err
		}
		*f = got
		return nil
	}
	return f.parse(b)
}

// parse reads a fact in any form that JSON has.
func (f *Fact) parse(b []byte) error {
	var e factEnvelope
	if err := json.Unmarshal(b, &e); err != nil {
		if fault.Is(err, fault.Input) {
			return err
		}
		return fault.New(fault.Input, "%q is not a fact", shorten(string(b)))
	}
	var c bytes.Buffer
	if err := json.Compact(&c, b); err != nil {
		return fault.New(fault.Input, "%q is not a fact", shorten(string(b)))
	}
	got := Fact(e)
	got.raw = c.Bytes()
	if err := got.check(); err != nil {
		return err
	}
	*f = got
	return nil
}

// MarshalJSON writes the fact exactly as it was read, with fields that this program does not know.
func (f Fact) MarshalJSON() ([]byte, error) {
	if f.raw != nil {
		return f.raw, nil
	}
	return encodeJSON(factEnvelope(f))
}

// Text returns the fact's own JSON, byte for byte as it is stored.
func (f Fact) Text() []byte {
	if f.raw != nil {
		return f.raw
	}
	b, err := encodeJSON(factEnvelope(f))
	if err != nil {
		return nil
	}
	return b
}

// encodeJSON writes JSON without the HTML escapes that would change a fact's bytes.
func encodeJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}

func (f *Fact) check() error {
	if err := f.ID.Check("fact"); err != nil {
		return err
	}
	if err := f.Device.Check("device of fact"); err != nil {
		return err
	}
	if err := f.Subject.Check("subject of fact"); err != nil {
		return err
	}
	if err := f.Scope.Check(); err != nil {
		return err
	}
	switch {
	case !isKindName(f.Kind):
		return fault.New(fault.Input, "kind %q is not two or more lower-case words joined by dots", shorten(f.Kind))
	case f.Version < 1 || f.Version > 1<<15:
		return fault.New(fault.Input, "version %d of kind %s is not 1 or more", f.Version, f.Kind)
	case f.NeededVersion < 1 || f.NeededVersion > 1<<15:
		return fault.New(fault.Input, "need %d of kind %s is not 1 or more", f.NeededVersion, f.Kind)
	case f.At < 0 || f.At > MaxTime:
		return fault.New(fault.Input, "time %d of fact is outside 1970 to 2200", int64(f.At))
	case len(f.TZ) > maxTZ || strings.ContainsAny(f.TZ, "<>&\"'\n"):
		return fault.New(fault.Input, "time zone %q of fact is not a zone name", shorten(f.TZ))
	case f.Clock != nil && (f.Clock.Offset < -MaxClockOffset || f.Clock.Offset > MaxClockOffset || f.Clock.Age < 0):
		return fault.New(fault.Input, "the fact's clock is off by more than is possible")
	case len(f.Body) == 0 || f.Body[0] != '{':
		return fault.New(fault.Input, "the body of kind %s is not an object", f.Kind)
	case len(f.Body) > maxBody:
		return fault.New(fault.Input, "the body of kind %s has %d bytes, more than %d", f.Kind, len(f.Body), maxBody)
	}
	return nil
}

func isKindName(k string) bool {
	if len(k) > maxKind || !strings.Contains(k, ".") || strings.Contains(k, "..") {
		return false
	}
	for i, r := range k {
		if !(r >= 'a' && r <= 'z' || i > 0 && i < len(k)-1 && (r == '.' || r == '-')) {
			return false
		}
	}
	return true
}
