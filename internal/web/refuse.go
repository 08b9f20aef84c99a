package web

import (
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// status maps the codes of faults to HTTP, all in one place.
var status = map[fault.Code]int{
	fault.Input:       http.StatusUnprocessableEntity,
	fault.Missing:     http.StatusUnprocessableEntity,
	fault.NotFound:    http.StatusNotFound,
	fault.Refused:     http.StatusForbidden,
	fault.Conflict:    http.StatusConflict,
	fault.Newer:       http.StatusConflict,
	fault.Locked:      http.StatusServiceUnavailable,
	fault.Full:        http.StatusInsufficientStorage,
	fault.Damaged:     http.StatusInternalServerError,
	fault.Unavailable: http.StatusServiceUnavailable,
	fault.Internal:    http.StatusInternalServerError,
}

// special is a fault whose status is not that of its code: only HTTP knows it.
type special struct {
	*fault.Fault
	status int
	after  time.Duration // when it may be tried again; 0 says nothing
}

func (e *special) Unwrap() error { return e.Fault }

func at(status int, f *fault.Fault) error { return &special{Fault: f, status: status} }

func later(after time.Duration, f *fault.Fault) error {
	return &special{f, http.StatusTooManyRequests, after}
}

// seconds rounds up, as Retry-After is told.
func seconds(d time.Duration) int { return max(1, int((d+time.Second-1)/time.Second)) }

var (
	errTooLong = at(http.StatusRequestEntityTooLarge, fault.New(fault.Input, "the request is longer than 1 MB").WithHint("send it in parts"))
	errMethod  = at(http.StatusMethodNotAllowed, fault.New(fault.Input, "this address does not take that method"))
)

// denied says how who gets in.
func denied(who rights.Asker) error {
	switch {
	case who.Revoked:
		return at(http.StatusUnauthorized, fault.New(fault.Refused, "this phone is let in no more").
			WithHint("what it recorded is still on it; whoever keeps the house can let it in again under Phones"))
	case who.Role == rights.Stranger || who.Role == rights.Label:
		return at(http.StatusUnauthorized, fault.New(fault.Refused, "this phone is not paired with the program").
			WithHint("on a phone that is in, open Phones and add this one; then open /join here and type the 8 digits it shows"))
	}
	return fault.New(fault.Refused, "a helper's phone may not do that").
		WithHint("ask whoever keeps the house: a phone of the house may")
}

func nowhere(r *http.Request) error {
	return fault.New(fault.NotFound, "there is nothing at %q", clip(r.URL.Path))
}

func wrongMethod(*http.Request) error { return errMethod }

func (s *server) failing(why func(*http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { s.fail(w, r, why(r)) }
}

// fail tells err: as JSON under /api/, else, and to a person who opened the address
// itself, as a page. What is our own mistake is logged and told only as such.
func (s *server) fail(w http.ResponseWriter, r *http.Request, err error) {
	told := fault.Of(err)
	code := status[told.Code]
	if code == 0 {
		code = http.StatusInternalServerError
	}
	if e := (*special)(nil); errors.As(err, &e) {
		code = e.status
		if e.after > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(seconds(e.after)))
		}
	}
	if code == http.StatusUnauthorized { // RFC 9110, 11.6.1: it says what is asked for
		w.Header().Set("WWW-Authenticate", `Phone realm="coldbatch"`)
	}
	if told.Code == fault.Internal {
		s.Log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	if strings.HasPrefix(r.URL.Path, "/api/") && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
		write(w, r, code, struct {
			Error *fault.Fault `json:"error"`
		}{told})
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	if r.Method != http.MethodHead {
		s.refusalPage(w, told)
	}
}
