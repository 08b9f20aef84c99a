package web

import (
	"crypto/tls"
	"encoding/json"
	"errors"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/calc"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// Two batches, and the phones of the house by their tokens.
var (
	thisBatch  = journal.NewID([16]byte{1})
	otherBatch = journal.NewID([16]byte{2})
	someDevice = journal.NewID([16]byte{3})

	phones = map[string]rights.Asker{
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
	sensorToken            = "sensor"
)

func app(t *testing.T) App {
	say := func(v any) func(rights.Asker) (any, error) {
		return func(rights.Asker) (any, error) { return v, nil }
	}
	ofDevice := func(_ rights.Asker, d journal.ID) (any, error) { return d, nil }
	return App{
		Static: files(),
		Who: func(token string) (rights.Asker, error) {
			if token == "broken" {
				return rights.Asker{}, errors.New("a secret of the machine")
			}
			if a, ok := phones[token]; ok {
				return a, nil
			}
			return rights.Asker{Role: rights.Stranger}, nil
		},
		Local: func() rights.Asker { return rights.Asker{Role: rights.Owner} },
		Hosts: func() []string { return []string{"coldbatch.local", "coldbatch.home.arpa", "192.168.1.20", "fd00::20"} },
		Network: func() Network {
			return Network{Host: "coldbatch.local", HTTPS: 8443, HTTP: 8090, Addresses: []string{"192.168.1.20", "fd00::20"},
				Fingerprint: "AB:CD:EF", Authority: []byte("der"), Profile: []byte("<plist>")}
		},
		About: func(who rights.Asker) (any, error) {
			return map[string]any{"program": "coldbatch", "you": who}, nil
		},
		Pair: func(who rights.Asker, body []byte) (any, string, error) {
			if string(body) != goodCode {
				return nil, "", fault.New(fault.Refused, "that is not a code of now")
			}
			return map[string]string{"letter": "B"}, "owner", nil
		},
		Join: Body(func(who rights.Asker, q map[string]string) (any, error) { return q, nil }),
		Exchange: func(who rights.Asker, body []byte) (any, error) {
			if who.Revoked {
				return nil, fault.New(fault.Refused, "this phone is let in no more; 3 entries it sent wait for the owner")
			}
			return json.RawMessage(body), nil
		},
		Bag: func(who rights.Asker, code string) (any, error) {
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
			return code, nil
		},
		Invite:  say("invitation"),
		Phones:  say([]string{"a phone"}),
		Held:    ofDevice,
		Accept:  ofDevice,
		Discard: ofDevice,
		Recall:  ofDevice,
		Reading: func(token string, celsius float64) error {
			if token != sensorToken {
				return fault.New(fault.Refused, "no sensor has that token")
			}
			return nil
		},
		Photos: album{},
		Sheet: func(who rights.Asker, get func(string) string) (*File, error) {
			if who.Role != rights.Owner && !slices.Contains(who.Batches, thisBatch) {
				return nil, fault.New(fault.Refused, "this phone is not in that batch")
			}
			return &File{Name: "labels.pdf", Type: "application/pdf", Body: []byte("%PDF " + get("sheet"))}, nil
		},
		EndExample: func() error { return nil },
		Events:     func() (<-chan uint64, func()) { c := make(chan uint64); close(c); return c, func() {} },
		Env:        func(string) (calc.Env, error) { return calc.Env{Now: 1777726800000, Zone: zone.Table{}}, nil },
		Log:        log.New(io.Discard, "", 0),
	}
}

func handler(t *testing.T, a App) http.Handler {
	t.Helper()
	h, _, err := New(a)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// do makes a request. Headers are "Name: value", and among them
//
//	From: https TOKEN   a phone with that token's cookie, by the hub's name
//	From: http phone    a phone on plain http, by the hub's address
//	Remote: HOST:PORT   where it comes from
//
// Without From it is this machine itself, in plain http.
func do(h http.Handler, method, target, body string, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, strings.NewReader(body))
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
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}
