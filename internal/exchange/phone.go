package exchange

import (
	"encoding/json"
	"slices"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// MaxRequestText bounds the text of the facts in one request, in bytes: what the hub
// takes in one call is 1 MB.
const MaxRequestText = 600_000

// PhoneState is what a phone remembers of its exchanges with a hub. With only Device set it
// is a phone that has never exchanged with one.
type PhoneState struct {
	Device        journal.ID    `json:"device"`
	Cursor        *Cursor       `json:"cursor"`
	LatestStamp   journal.Stamp `json:"seen"`             // the latest stamp that it has written or read
	CaughtUp      bool          `json:"whole"`            // it has read all that the hub had, once since the app began
	LatestHubTime zone.Instant  `json:"latest,omitempty"` // the latest time that the hub's clock had shown
}

// NextRequest returns the next request: as many of the facts that wait as go into one call,
// at least one, in the order they are given. Bag numbers are asked for only by a
// phone that has read the whole journal, and only along with all that waits: what
// it read or brings may be a lease that a restored hub has forgotten.
func NextRequest(p PhoneState, waiting []json.RawMessage, lease []journal.ID) Request {
	r := Request{Device: p.Device, Cursor: p.Cursor, Facts: []json.RawMessage{}, Lease: []journal.ID{}}
	size := 0
	for _, text := range waiting {
		size += len(text)
		if len(r.Facts) == MaxFacts || size > MaxRequestText && len(r.Facts) > 0 {
			break
		}
		r.Facts = append(r.Facts, text)
	}
	// A phone passes at most MaxFacts waiting facts here: if there are that many, there may be more.
	if p.CaughtUp && len(r.Facts) == len(waiting) && len(waiting) < MaxFacts {
		r.Lease = append(r.Lease, lease[:min(len(lease), MaxLease)]...)
	}
	return r
}

// SentFact is a fact that went out, and who wrote it.
type SentFact struct {
	ID     journal.ID `json:"id"`
	Device journal.ID `json:"device"`
}

// AnswerPlan is what an answer means for a phone. It writes all of it down in one
// transaction, in the order of the fields, or nothing.
type AnswerPlan struct {
	Resend       bool         `json:"resend"` // everything waits again: this hub is another, or from an old copy
	Acknowledged []journal.ID `json:"settle"` // the hub has these
	Refused      []Refusal    `json:"refuse"` // the hub will not take these of the phone's own; they are kept with the reason, and wait no more
	NotRelayed   []journal.ID `json:"leave"`  // others wrote these, and this phone may not pass them on: they wait no more
	NewFacts     []journal.ID `json:"keep"`   // of the facts in the answer those that are new
	Phone        PhoneState   `json:"phone"`  // what the phone remembers from now on
	HasMore      bool         `json:"more"`   // call again
}

// PlanAnswer works out what answer means to p, which sent those facts and has of the
// answer's facts those known. Where the hub did nothing with what it was
// sent, or says that there is more and sends none, the fault is Unavailable: to
// call again would go on for ever.
func PlanAnswer(p PhoneState, sent []SentFact, a Answer, known []journal.ID) (AnswerPlan, error) {
	s := AnswerPlan{Resend: a.StartsOver, Acknowledged: []journal.ID{}, Refused: []Refusal{}, NotRelayed: []journal.ID{}, NewFacts: []journal.ID{}}
	done := map[journal.ID]bool{}
	settle := func(id journal.ID) {
		if !done[id] {
			done[id] = true
			s.Acknowledged = append(s.Acknowledged, id)
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
			s.NewFacts = append(s.NewFacts, f.ID)
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
			s.Refused = append(s.Refused, r)
		default:
			s.NotRelayed = append(s.NotRelayed, r.ID)
		}
		done[r.ID] = true
	}
	if len(sent) > 0 && !slices.ContainsFunc(sent, func(x SentFact) bool { return done[x.ID] }) {
		return AnswerPlan{}, fault.New(fault.Unavailable, "the hub accepted none of the entries it was sent")
	}
	if a.HasMore && len(a.Facts) == 0 {
		return AnswerPlan{}, fault.New(fault.Unavailable, "the hub says that it has more, but sends nothing")
	}
	latest := max(a.Now, a.LatestHubTime)
	s.Phone = PhoneState{
		Device: p.Device, Cursor: a.Cursor, LatestStamp: journal.LatestStamp(p.LatestStamp, a.Facts, latest),
		CaughtUp: !a.StartsOver && (p.CaughtUp || !a.HasMore), LatestHubTime: latest,
	}
	s.HasMore = a.HasMore || a.StartsOver || s.Phone.CaughtUp && !p.CaughtUp
	return s, nil
}

func setOf(ids []journal.ID) map[journal.ID]bool {
	m := make(map[journal.ID]bool, len(ids))
	for _, id := range ids {
		m[id] = true
	}
	return m
}
