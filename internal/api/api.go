// Package api holds the requests and answers that the app and the hub exchange as
// JSON, but for those of package exchange and the views of package batchview. Their
// fields are version 1 of the protocol: a field may be added, and none changes its
// name or meaning. The package does nothing: hub fills the answers in, web carries
// them.
package api

import (
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// Protocol is the version of the requests and answers. A field that gets another
// meaning belongs to the next version, which is then served beside this one.
const Protocol = 1

// AboutAnswer is what a phone asks for first.
type AboutAnswer struct {
	Program      string       `json:"program"`
	Version      string       `json:"version"`
	StateVersion int          `json:"stateVersion"`
	Hub          Identity     `json:"hub"`
	Zone         zone.Table   `json:"zone"` // the hub's, from two years ago to six years ahead
	Example      bool         `json:"example"`
	Now          zone.Instant `json:"now"`
	Protocol     int          `json:"protocol"`
	Asker        rights.Asker `json:"you"`
}

// Identity says which hub this is. It is fixed at the first run, because phones and
// printed labels depend on it.
type Identity struct {
	ID        journal.ID `json:"id"`
	Name      string     `json:"name"`
	Host      string     `json:"host"`  // its name in the home network
	HTTPPort  int        `json:"port"`  // of plain http
	HTTPSPort int        `json:"https"` // of https; labels contain it
	Zone      string     `json:"zone"`  // IANA name
}

// JoinRequest introduces a phone that wants to belong to the house.
type JoinRequest struct {
	Device journal.ID `json:"device"`
	Name   string     `json:"name"`
}

// JoinAnswer answers a JoinRequest. The phone appends Letter to bag numbers that it
// assigns without a lease. Letter is empty when all letters are in use.
type JoinAnswer struct {
	Letter string   `json:"letter"`
	Hub    Identity `json:"hub"`
}

// PairRequest asks to pair a phone.
type PairRequest struct {
	Device journal.ID `json:"device"`
	Name   string     `json:"name"`
	Code   string     `json:"code"` // eight digits, the code in a link, or a share code
}

// PairAnswer answers a PairRequest.
type PairAnswer struct {
	JoinAnswer
	Asker rights.Asker `json:"you"`
	Batch journal.ID   `json:"batch,omitempty"` // the batch that a helper joined
	Token string       `json:"-"`               // for the phone's cookie; it is sent nowhere else
}

// Invitation pairs one phone. Whoever invites sees it once.
type Invitation struct {
	Code           string       `json:"code"`    // as the link contains it
	GroupedCode    string       `json:"shown"`   // the same, grouped for reading
	Digits         string       `json:"digits"`  // "1234 5678"
	DigitsExpireAt zone.Instant `json:"until"`   // when the digits expire
	Address        string       `json:"address"` // of the app, with the code; in capitals, which a QR code stores in less space
}

// PhoneInfo is one phone of the house as its owner sees it.
type PhoneInfo struct {
	Device           journal.ID   `json:"device"`
	Name             string       `json:"name"`
	Letter           string       `json:"letter"`
	Role             rights.Role  `json:"role,omitempty"` // owner or helper; empty for this computer's own browser and for a phone that has not paired since a restore
	Batches          []BatchName  `json:"batches"`        // those it helps with
	JoinedAt         zone.Instant `json:"joined"`
	LastExchange     zone.Instant `json:"seen,omitempty"` // its last exchange; 0: none since the program started
	IsPaired         bool         `json:"paired"`
	IsRevoked        bool         `json:"revoked"`
	QuarantinedCount int          `json:"held"` // entries of it that wait for the owner's decision
	RejectedCount    int          `json:"left"` // entries that the owner rejected and can requeue
	IsAsker          bool         `json:"you"`
}

// BatchName names a batch.
type BatchName struct {
	ID   journal.ID `json:"id"`
	Name string     `json:"name"`
}

// QuarantinedFact is one entry that waits for the owner's decision.
type QuarantinedFact struct {
	ID          journal.ID    `json:"id"`
	Kind        string        `json:"kind"`
	Description string        `json:"doc"` // what that kind means
	At          zone.Instant  `json:"at"`
	Batch       string        `json:"batch,omitempty"` // its name
	Scope       journal.Scope `json:"scope"`
}

// AcceptRequest says how many of the entries of a phone that wait were shown to the owner who accepts them;
// 0 is all that wait.
type AcceptRequest struct {
	ShownCount int `json:"facts"`
}

// FactCount is the number of entries that a decision moved into or out of the
// quarantine.
type FactCount struct {
	Count int `json:"facts"`
}
