package main

import (
	"encoding/json"
	"strings"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// exchangeCalls are the phone's side of the exchange, and pairing codes.
var exchangeCalls = callTable{
	"exchange.nextRequest":   jsonCall(nextRequest),
	"exchange.planAnswer":    jsonCall(planAnswer),
	"exchange.correctClocks": jsonCall(correctClocks),
	"code.new":               jsonCall(newCode),
	"code.parse":             jsonCall(parseCode),
}

func nextRequest(q struct {
	Phone   exchange.PhoneState `json:"phone"`
	Waiting []json.RawMessage   `json:"waiting"`
	Lease   []journal.ID        `json:"lease"`
	Need    map[journal.ID]int  `json:"need,omitempty"`
}) (exchange.Request, error) {
	r := exchange.NextRequest(q.Phone, q.Waiting, q.Lease)
	r.WantedNumbers = q.Need
	return r, nil
}

func planAnswer(q struct {
	Phone  exchange.PhoneState `json:"phone"`
	Sent   []exchange.SentFact `json:"sent"`
	Answer exchange.Answer     `json:"answer"`
	Known  []journal.ID        `json:"known"`
}) (exchange.AnswerPlan, error) {
	return exchange.PlanAnswer(q.Phone, q.Sent, q.Answer, q.Known)
}

func correctClocks(q struct {
	Waiting []journal.Fact `json:"waiting"`
	Device  journal.ID     `json:"device"`
	Offset  zone.Span      `json:"offset"`
}) ([]journal.Draft, error) {
	return exchange.DraftClockCorrections(q.Waiting, q.Device, q.Offset), nil
}

// pairingCode is a code that pairs a phone. Facts and the hub store only its Hash.
type pairingCode struct {
	Code    string `json:"code"`
	Grouped string `json:"shown,omitempty"`
	Hash    string `json:"hash,omitempty"`
	IsShort bool   `json:"digits,omitempty"` // it is the short code of 8 digits
}

func newCode(struct{}) (pairingCode, error) {
	var b [10]byte
	fillRandom(b[:])
	shown := journal.NewCode(b)
	c := strings.ReplaceAll(shown, "-", "")
	return pairingCode{Code: c, Grouped: shown, Hash: label.SHA256Hex(c)}, nil
}

func parseCode(q struct {
	Typed string `json:"typed"`
}) (pairingCode, error) {
	if digits, ok := journal.ParseDigits(q.Typed); ok {
		return pairingCode{Code: digits, IsShort: true}, nil
	}
	c, err := journal.ParseCode(q.Typed)
	return pairingCode{Code: c}, err
}
