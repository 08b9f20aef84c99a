package exchange

import (
	"encoding/json"
	"slices"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// MaxText bounds the text of the facts in one request, in bytes: what the hub
// takes in one call is 1 MB.
const MaxText = 600_000

// Phone is what a phone remembers of its exchanges with a hub. The zero value but
// for Device is one that never met it.
type Phone struct {
	Device journal.ID    `json:"device"`
	Cursor *Cursor       `json:"cursor"`
	Seen   journal.Stamp `json:"seen"`  // the latest stamp that it has written or read
	Whole  bool          `json:"whole"` // it has read all that the hub had, once since the app began
}

// Ask gives the next request: as many of the facts that wait as go into one call,
// at least one, in the order they are given. Bag numbers are asked for only by a
// phone that has read the whole journal, and only along with all that waits: what
// it read or brings may be a lease that a restored hub has forgotten.
func Ask(p Phone, waiting []json.RawMessage, lease []journal.ID) Request {
	r := Request{Device: p.Device, Cursor: p.Cursor, Facts: []json.RawMessage{}, Lease: []journal.ID{}}
	size := 0
	for _, text := range waiting {
		size += len(text)
		if len(r.Facts) == MaxFacts || size > MaxText && len(r.Facts) > 0 {
			break
		}
		r.Facts = append(r.Facts, text)
	}
	// A phone gives what waits up to a bound: as many as that may not be all.
	if p.Whole && len(r.Facts) == len(waiting) && len(waiting) < MaxFacts {
		r.Lease = append(r.Lease, lease[:min(len(lease), MaxLease)]...)
	}
	return r
}

// Sent is a fact that went out, and who wrote it.
type Sent struct {
	ID     journal.ID `json:"id"`
	Device journal.ID `json:"device"`
}

// Steps is what an answer means for a phone. It writes all of it down in one
// transaction, in the order of the fields, or nothing.
type Steps struct {
	Resend bool         `json:"resend"` // everything waits again: this hub is another, or from an old copy
	Settle []journal.ID `json:"settle"` // the hub has these
	Refuse []Refusal    `json:"refuse"` // the hub will not take these of the phone's own; they are kept with the reason, and wait no more
	Leave  []journal.ID `json:"leave"`  // others wrote these, and this phone may not pass them on: they wait no more
	Keep   []journal.ID `json:"keep"`   // of the facts in the answer those that are new
	Phone  Phone        `json:"phone"`  // what the phone remembers from now on
	More   bool         `json:"more"`   // call again
}

// Hear works out what answer means to p, which sent those facts and has of the
// answer's facts those known. Where the hub did nothing with what it was
// sent, or says that there is more and gives none, the fault is Unavailable: to
// call again would go on for ever.
func Hear(p Phone, sent []Sent, a Answer, known []journal.ID) (Steps, error) {
	s := Steps{Resend: a.Fresh, Settle: []journal.ID{}, Refuse: []Refusal{}, Leave: []journal.ID{}, Keep: []journal.ID{}}
	done := map[journal.ID]bool{}
	settle := func(id journal.ID) {
		if !done[id] {
			done[id] = true
			s.Settle = append(s.Settle, id)
		}
	}
	for _, id := range a.Acks {
		settle(id)
	}
	here, kept := setOf(known), map[journal.ID]bool{}
	for _, f := range a.Facts {
		switch {
		case here[f.ID]: // it came back from the hub: the hub has it
			settle(f.ID)
		case !kept[f.ID]:
			kept[f.ID] = true
			s.Keep = append(s.Keep, f.ID)
		}
	}
	writer := make(map[journal.ID]journal.ID, len(sent))
	for _, x := range sent {
		writer[x.ID] = x.Device
	}
	for _, r := range a.Refused {
		by, out := writer[r.ID]
		switch {
		case !out || done[r.ID]:
			continue
		case by == p.Device:
			s.Refuse = append(s.Refuse, r)
		default:
			s.Leave = append(s.Leave, r.ID)
		}
		done[r.ID] = true
	}
	if len(sent) > 0 && !slices.ContainsFunc(sent, func(x Sent) bool { return done[x.ID] }) {
		return Steps{}, fault.New(fault.Unavailable, "the hub took none of what it was sent")
	}
	if a.More && len(a.Facts) == 0 {
		return Steps{}, fault.New(fault.Unavailable, "the hub says that it has more, and gives nothing")
	}
	s.Phone = Phone{
		Device: p.Device, Cursor: a.Cursor, Seen: journal.Latest(p.Seen, a.Facts),
		Whole: !a.Fresh && (p.Whole || !a.More),
	}
	s.More = a.More || a.Fresh || s.Phone.Whole && !p.Whole
	return s, nil
}

func setOf(ids []journal.ID) map[journal.ID]bool {
	m := make(map[journal.ID]bool, len(ids))
	for _, id := range ids {
		m[id] = true
	}
	return m
}
