package journal

import (
	"bytes"
	"encoding/json"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// Author writes facts for one device. Now is the device's own clock; Offset and
// OffsetMeasured say what it knows of the hub's.
type Author struct {
	Device         ID
	LatestStamp    Stamp        // the latest stamp the device has written or read
	Now            zone.Instant // the device's clock, as it is
	TZ             string       // IANA name of the zone the person is in
	Offset         zone.Span    // to add to Now to get the hub's time
	OffsetMeasured zone.Instant // when Offset was measured, by the device's clock; 0 never
	Random         func([]byte) // fills with random bytes
}

// Draft is what a person did, before it is a fact.
type Draft struct {
	Scope   Scope           `json:"scope"`
	Subject ID              `json:"subject,omitempty"` // empty: a new thing, gets a new id
	Kind    string          `json:"kind"`
	At      zone.Instant    `json:"at,omitempty"` // when it happened, by the device's clock; 0 is now
	Body    json.RawMessage `json:"body"`
}

// maxFuture says how far ahead of the clock a time may be (judgement: a clock is set to the minute).
const maxFuture = zone.Minute

// NewID draws a fresh id.
func (a *Author) NewID() ID {
	var b [16]byte
	a.Random(b[:])
	return NewID(b)
}

// MakeFacts makes facts of the drafts and advances a.LatestStamp. It stores nothing. This program must
// know each kind, and each body must hold what its kind needs; otherwise MakeFacts returns no facts
// and a fault that says what is wrong.
func (a *Author) MakeFacts(drafts []Draft) ([]Fact, error) {
	seen := a.LatestStamp
	facts := make([]Fact, 0, len(drafts))
	for _, d := range drafts {
		kind, known := FindKind(d.Kind)
		if !known {
			return nil, fault.New(fault.Input, "%q is not a kind of fact this program writes", shorten(d.Kind))
		}
		if err := kind.check(d); err != nil {
			return nil, err
		}
		var body bytes.Buffer
		if err := json.Compact(&body, d.Body); err != nil {
			return nil, fault.New(fault.Input, "the body of %s is not JSON", d.Kind)
		}
		at := d.At
		if at == 0 {
			at = a.Now
		}
		if at > a.Now.Add(maxFuture) {
			return nil, fault.New(fault.Input, "this time is in the future, so nothing was recorded").WithHint("choose now or an earlier time")
		}
		subject := d.Subject
		if subject == "" {
			subject = a.NewID()
		}
		seen = NewStamp(seen, a.Now.Add(a.Offset))
		f := Fact{
			ID: a.NewID(), Stamp: seen, Device: a.Device, Scope: d.Scope, Subject: subject,
			Kind: kind.Name, Version: kind.Version, NeededVersion: kind.NeededVersion, At: at, TZ: a.TZ,
			Body: body.Bytes(),
		}
		// If the clock now shows an earlier time than when its error was measured, somebody
		// set it back: then its error is unknown.
		if a.OffsetMeasured != 0 && a.Now >= a.OffsetMeasured {
			f.Clock = &Clock{Offset: a.Offset, Age: a.Now.Sub(a.OffsetMeasured)}
		}
		if err := f.check(); err != nil {
			return nil, err
		}
		f.raw = f.Text()
		facts = append(facts, f)
	}
	a.LatestStamp = seen
	return facts, nil
}

// LatestStamp returns the highest of seen and the stamps of facts that is not ahead of now. If seen
// itself is ahead, the result is at least now: the clock behind seen had run ahead and is set back.
func LatestStamp(seen Stamp, facts []Fact, now zone.Instant) Stamp {
	if seen.IsAhead(now) {
		seen = Stamp{Milliseconds: now}
	}
	for _, f := range facts {
		if seen.Less(f.Stamp) && !f.Stamp.IsAhead(now) {
			seen = f.Stamp
		}
	}
	return seen
}
