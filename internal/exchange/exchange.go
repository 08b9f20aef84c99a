// Package exchange defines the messages by which a phone and the hub synchronise, and
// what the phone stores of an answer. One call pushes and pulls and can be repeated
// safely. A phone calls NextRequest for the next request and PlanAnswer for what to
// store of the answer; package hub makes the answer. This package uses no network and
// no storage.
package exchange

import (
	"encoding/json"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Bounds of one call. A phone with more to send calls again; HasMore tells it that there
// is more to receive.
const (
	// MaxFacts says how many facts one call carries at most.
	MaxFacts       = 500
	MaxLease       = 100
	MaxAnswerBytes = 1 << 20 // bytes of facts in an answer, passed by one fact at most
)

// MaxQuarantined says how many facts of a revoked phone the hub keeps until an owner
// decides; it takes no more.
const MaxQuarantined = 5000

// Cursor says how far a phone has read: a sequence, the id of the fact there, and a hash of the
// scopes that the phone was allowed to see. If sequence and id do not belong together, the cursor
// is from another hub, or the hub was restored from an old copy. The same holds if the journal was
// not that long in the run of the program that the cursor names; facts that the hub had
// acknowledged may then be lost. If the phone may now see more or fewer scopes, the hub starts from
// the beginning, since an older fact may have become visible. A phone sends the cursor back unchanged.
type Cursor struct {
	Seq        uint64     `json:"seq"`
	FactID     journal.ID `json:"id"`
	ScopesHash string     `json:"view,omitempty"` // empty: the whole journal
	JournalEnd uint64     `json:"end,omitempty"`  // how far the journal went, where that is beyond Seq
	Epoch      string     `json:"era,omitempty"`  // in which run of the program it came that far
}

// Request is what a phone sends.
type Request struct {
	Device        journal.ID         `json:"device"`
	Cursor        *Cursor            `json:"cursor"`         // null asks for everything, from the first fact on
	Facts         []json.RawMessage  `json:"facts"`          // what the hub has not acknowledged, MaxFacts at most
	Lease         []journal.ID       `json:"lease"`          // batches the phone closes bags of
	WantedNumbers map[journal.ID]int `json:"need,omitempty"` // how many numbers it wants at hand in some of those, for blanks
}

// Answer is the hub's part. Every fact in Acks is on the disk.
type Answer struct {
	Hub           HubInfo        `json:"hub"`
	StartsOver    bool           `json:"fresh"` // the cursor was not ours: facts begin at the beginning, and the phone sends all of its own again
	Acks          []journal.ID   `json:"acks"`
	Refused       []Refusal      `json:"refused"`          // will not be taken as they are; the others were
	Facts         []journal.Fact `json:"facts"`            // after the cursor, without those of this very call
	Cursor        *Cursor        `json:"cursor"`           // null while the journal is empty
	HasMore       bool           `json:"more"`             // call again
	Now           zone.Instant   `json:"now"`              // the hub's clock
	LatestHubTime zone.Instant   `json:"latest,omitempty"` // the latest time that it has shown, where that is after Now
}

// HubInfo names the hub.
type HubInfo struct {
	ID journal.ID `json:"id"`
}

// Refusal is one fact that was not taken, and why.
type Refusal struct {
	ID       journal.ID `json:"id"`
	Code     fault.Code `json:"code"`
	Sentence string     `json:"sentence"`
}
