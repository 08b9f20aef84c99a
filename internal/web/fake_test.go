package web

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
	"coldbatch/internal/calc"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Two batches, and the phones of the house by their tokens.
var (
	thisBatch  = journal.NewID([16]byte{1})
	otherBatch = journal.NewID([16]byte{2})
	someDevice = journal.NewID([16]byte{3})

	askersByToken = map[string]rights.Asker{
		"owner":  {Role: rights.Owner, Device: journal.NewID([16]byte{10})},
		"helper": {Role: rights.Helper, Device: journal.NewID([16]byte{11}), Batches: []journal.ID{thisBatch}},
		"other":  {Role: rights.Helper, Device: journal.NewID([16]byte{12}), Batches: []journal.ID{otherBatch}},
		"out":    {Role: rights.Stranger, Device: journal.NewID([16]byte{13}), Revoked: true},
	}
)

// What the fake house knows: a label of thisBatch, whole and as typed; a code; a
// sensor's token.
const (
	wholeLabel, typedLabel = "WHOLE-LABEL", "TYPED"
	goodCode               = `{"code":"12345678"}`
	linkCode               = "K7M2-Q9X4-TTRW-9ABC"
	sensorToken            = "sensor"
	calendarToken          = "calendar"
)

// fakeHub answers each call with its arguments. A field that is set replaces the answer of
// one method.
type fakeHub struct {
	identify   func(token string) (rights.Asker, error)
	localAsker func() rights.Asker
	subscribe  func() (<-chan uint64, func())
	beforePair func()
	viewBag    func(code string) error
}

func (h *fakeHub) LocalAsker() rights.Asker {
	if h.localAsker != nil {
		return h.localAsker()
	}
	return rights.Asker{Role: rights.Owner}
}

func (h *fakeHub) AskerByToken(_ context.Context, token string) (rights.Asker, error) {
	if h.identify != nil {
		return h.identify(token)
	}
	return askerByToken(token)
}

func askerByToken(token string) (rights.Asker, error) {
	if token == "broken" {
		return rights.Asker{}, errors.New("a secret of the machine")
	}
	if a, ok := askersByToken[token]; ok {
		return a, nil
	}
	return rights.Asker{Role: rights.Stranger}, nil
}

func (h *fakeHub) About(_ context.Context, who rights.Asker, version string) (*api.AboutAnswer, error) {
	return &api.AboutAnswer{Program: "coldbatch", Version: version, Asker: who}, nil
}

func (h *fakeHub) Pair(_ context.Context, _ rights.Asker, q api.PairRequest) (*api.PairAnswer, error) {
	if h.beforePair != nil {
		h.beforePair()
	}
	if q.Code != "12345678" && q.Code != linkCode {
		return nil, fault.New(fault.Refused, "that is not a code of now")
	}
	return &api.PairAnswer{JoinAnswer: api.JoinAnswer{Letter: "B"}, Token: "owner"}, nil
}

func (h *fakeHub) RegisterPhone(_ context.Context, _ rights.Asker, q api.JoinRequest) (*api.JoinAnswer, error) {
	return &api.JoinAnswer{Letter: q.Name}, nil
}

// Exchange answers with the id of the device as the hub's.
func (h *fakeHub) Exchange(_ context.Context, who rights.Asker, q exchange.Request) (*exchange.Answer, error) {
	if who.Revoked {
		return nil, fault.New(fault.Refused, "this phone was removed; 3 entries it sent are waiting for the owner")
	}
	return &exchange.Answer{Hub: exchange.HubInfo{ID: q.Device}}, nil
}

func (h *fakeHub) Subscribe() (<-chan uint64, func()) {
	if h.subscribe != nil {
		return h.subscribe()
	}
	c := make(chan uint64)
	close(c)
	return c, func() {}
}

func (h *fakeHub) ViewBag(_ context.Context, who rights.Asker, code string) (*batchview.BagView, error) {
	if h.viewBag != nil {
		return nil, h.viewBag(code)
	}
	switch code {
	case "NONE":
		return nil, fault.New(fault.NotFound, "no such bag")
	case "BROKEN":
		return nil, errors.New("a secret of the machine")
	case "FULL":
		return nil, fault.New(fault.Full, "the disk is full")
	case "PANIC":
		panic("a secret of the machine")
	case typedLabel:
		if who.Role != rights.Owner && !slices.Contains(who.Batches, thisBatch) {
			return nil, fault.New(fault.Refused, "the id alone opens no bag")
		}
	}
	return &batchview.BagView{ID: journal.ID(code)}, nil
}

func (h *fakeHub) Invite(context.Context, rights.Asker) (*api.Invitation, error) {
	return &api.Invitation{Code: "code"}, nil
}

func (h *fakeHub) Phones(context.Context, rights.Asker) ([]api.PhoneInfo, error) {
	return []api.PhoneInfo{{Name: "a phone"}}, nil
}

func (h *fakeHub) Quarantined(_ context.Context, _ rights.Asker, device journal.ID) ([]api.QuarantinedFact, error) {
	return []api.QuarantinedFact{{ID: device}}, nil
}

func (h *fakeHub) Accept(context.Context, rights.Asker, journal.ID, int) (*api.FactCount, error) {
	return &api.FactCount{Count: 1}, nil
}

func (h *fakeHub) Reject(context.Context, rights.Asker, journal.ID) (*api.FactCount, error) {
	return &api.FactCount{Count: 2}, nil
}

func (h *fakeHub) Requeue(context.Context, rights.Asker, journal.ID) (*api.FactCount, error) {
	return &api.FactCount{Count: 3}, nil
}

func (h *fakeHub) RecordReading(_ context.Context, token string, _ float64) error {
	if token != sensorToken {
		return fault.New(fault.Refused, "no sensor has that token")
	}
	return nil
}

func (h *fakeHub) Calendar(_ context.Context, who rights.Asker, o batchview.CalendarOrder, style unit.Style) (*batchview.CalendarFile, error) {
	if o.Batch != "" && !who.HasBatch(o.Batch) {
		return nil, fault.New(fault.Refused, "this phone does not help with that batch")
	}
	return &batchview.CalendarFile{FileName: "bags.ics", Text: fmt.Sprintf("%s %s %s %v", o.Batch, o.Place, o.Bag, style.Clock12)}, nil
}

func (h *fakeHub) CalendarFeed(_ context.Context, token string, _ unit.Style) (*batchview.CalendarFile, error) {
	if token != calendarToken {
		return nil, fault.New(fault.Refused, "no calendar has that token")
	}
	return &batchview.CalendarFile{FileName: "all.ics", Text: "BEGIN:VCALENDAR"}, nil
}

func (h *fakeHub) CanSeePhoto(_ context.Context, who rights.Asker, hash string) (bool, error) {
	switch {
	case hash == photoOfNoBatch:
		return false, nil
	case who.Role == rights.Owner:
		return true, nil
	}
	return len(who.Batches) == 1 && who.Batches[0] == map[string]journal.ID{photoOfThisBatch: thisBatch, photoOfOtherBatch: otherBatch}[hash], nil
}

// fakePrinter prints the query's sheet, or fails with err.
type fakePrinter struct{ err error }

func (p fakePrinter) PrintLabels(_ context.Context, who rights.Asker, query url.Values) (*File, error) {
	if p.err != nil {
		return nil, p.err
	}
	if who.Role != rights.Owner && !slices.Contains(who.Batches, thisBatch) {
		return nil, fault.New(fault.Refused, "this phone is not in that batch")
	}
	return &File{Name: "labels.pdf", Type: "application/pdf", Body: []byte("%PDF " + query.Get("sheet"))}, nil
}

// newTestApp is an App on a fakeHub.
func newTestApp(t testing.TB) App { return newTestAppOn(&fakeHub{}) }

func newTestAppOn(h *fakeHub) App {
	return App{
		Static:    appFiles(),
		ActiveHub: func() Hub { return h },
		Network: func() Network {
			return Network{Host: "coldbatch.local", HTTPSPort: 8443, HTTPPort: 8090, Addresses: []string{"192.168.1.20", "fd00::20"},
				Fingerprint: "AB:CD:EF", Authority: []byte("der"), Profile: []byte("<plist>")}
		},
		Photos:       memoryPhotos{},
		LabelPrinter: fakePrinter{},
		CloseExample: func() error { return nil },
		CalcEnv:      func(string) (calc.Env, error) { return calc.Env{Now: 1777726800000, Zone: zone.Table{}}, nil },
		Log:          log.New(io.Discard, "", 0),
	}
}

func newFullHandler(t testing.TB, a App) http.Handler {
	t.Helper()
	h, _, err := New(a)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// sendRequest makes a request. Headers are "Name: value", and among them
//
//	From: https TOKEN   a phone with that token's cookie, by the hub's name
//	From: http phone    a phone on plain http, by the hub's address
//	Remote: HOST:PORT   where it comes from
//
// Without From it is this machine itself, in plain http.
func sendRequest(h http.Handler, method, target, body string, headers ...string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, newRequest(method, target, strings.NewReader(body), headers...))
	return w
}

// newRequest makes a request of this computer, unless headers says otherwise.
func newRequest(method, target string, body io.Reader, headers ...string) *http.Request {
	r := httptest.NewRequest(method, target, body)
	r.Host, r.RemoteAddr = "localhost:8090", "127.0.0.1:5000"
	for _, line := range headers {
		name, value, _ := strings.Cut(line, ": ")
		switch name {
		case "Host":
			r.Host = value
		case "Remote":
			r.RemoteAddr = value
		case "From":
			scheme, token, _ := strings.Cut(value, " ")
			r.Host, r.RemoteAddr = "192.168.1.20:8090", "192.168.1.7:5000"
			if scheme == "https" {
				r.Host, r.TLS = "coldbatch.local:8443", &tls.ConnectionState{}
				r.AddCookie(&http.Cookie{Name: cookieName, Value: token + ".20000"})
			}
		default:
			r.Header.Set(name, value)
		}
	}
	return r
}
