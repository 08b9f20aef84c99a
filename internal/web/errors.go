package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// statusOf maps the codes of faults to HTTP status codes.
var statusOf = map[fault.Code]int{
	fault.Input:       http.StatusUnprocessableEntity,
	fault.Missing:     http.StatusUnprocessableEntity,
	fault.NotFound:    http.StatusNotFound,
	fault.Refused:     http.StatusForbidden,
	fault.Conflict:    http.StatusConflict,
	fault.Unsure:      http.StatusConflict,
	fault.Newer:       http.StatusConflict,
	fault.Locked:      http.StatusServiceUnavailable,
	fault.Full:        http.StatusInsufficientStorage,
	fault.Damaged:     http.StatusInternalServerError,
	fault.Unavailable: http.StatusServiceUnavailable,
	fault.Internal:    http.StatusInternalServerError,
}

// statusError is a fault with a status code other than that of its fault code.
type statusError struct {
	*fault.Fault
	status     int
	retryAfter time.Duration // 0: no such header
}

func (e *statusError) Unwrap() error { return e.Fault }

func withStatus(status int, f *fault.Fault) error { return &statusError{Fault: f, status: status} }

func withRetryAfter(d time.Duration, f *fault.Fault) error {
	return &statusError{f, http.StatusTooManyRequests, d}
}

// retrySeconds rounds d up to whole seconds, as Retry-After has them.
func retrySeconds(d time.Duration) int { return max(1, int((d+time.Second-1)/time.Second)) }

var (
	errMethod  = withStatus(http.StatusMethodNotAllowed, fault.New(fault.Input, "this address does not support that method"))
	errStopped = withStatus(http.StatusServiceUnavailable, fault.New(fault.Unavailable, "the request was stopped before it finished").WithHint("send it again"))
)

// tooLong says that a body is longer than limit bytes.
func tooLong(limit int64) error {
	size := fmt.Sprintf("%d KB", limit>>10)
	if limit >= 1<<20 {
		size = fmt.Sprintf("%d MB", limit>>20)
	}
	return withStatus(http.StatusRequestEntityTooLarge, fault.New(fault.Input, "the request is longer than %s", size).WithHint("send it in parts"))
}

// accessDenied returns the fault that tells who how to get access.
func accessDenied(who rights.Asker) error {
	switch {
	case who.Revoked:
		return withStatus(http.StatusUnauthorized, fault.New(fault.Refused, "this phone was removed").
			WithHint("what it recorded is still on it; the owner can pair it again under Phones"))
	case who.Role == rights.Stranger || who.Role == rights.LabelHolder:
		return withStatus(http.StatusUnauthorized, fault.New(fault.Refused, "this phone is not paired with the program").
			WithHint("on a paired phone, open Phones and add this one; then open /join on this phone and type the 8 digits that the other shows"))
	}
	return fault.New(fault.Refused, "a helper's phone is not allowed to do that").
		WithHint("ask the owner")
}

func notFound(r *http.Request) error {
	return fault.New(fault.NotFound, "there is nothing at %q", truncate(r.URL.Path))
}

func methodNotAllowed(*http.Request) error { return errMethod }

func (s *server) refuseWith(reason func(*http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { s.fail(w, r, stranger, reason(r)) }
}

// hidePath returns f, or for anyone but an owner a replacement where f contains the
// path of the data folder.
func (s *server) hidePath(who rights.Asker, f *fault.Fault) (shown *fault.Fault, hidden bool) {
	if who.Role == rights.Owner || s.DataFolder == "" || !strings.Contains(f.Error(), s.DataFolder) {
		return f, false
	}
	return fault.New(f.Code, "the program cannot use its files").WithHint("the owner finds the reason in the program's log"), true
}

// fail sends err: as JSON under /api/, and as a page elsewhere and to a person who
// opened the address in a browser. Internal errors, and faults that contain a path, are
// logged; the answer does not contain their text.
func (s *server) fail(w http.ResponseWriter, r *http.Request, who rights.Asker, err error) {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		err = errStopped // mostly nobody reads it: the phone is gone
	}
	reply, hidden := s.hidePath(who, fault.AsFault(err))
	code := statusOf[reply.Code]
	if code == 0 {
		code = http.StatusInternalServerError
	}
	if e := (*statusError)(nil); errors.As(err, &e) {
		code = e.status
		if e.retryAfter > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(retrySeconds(e.retryAfter)))
		}
	}
	if code == http.StatusUnauthorized { // RFC 9110, 11.6.1 requires the header
		w.Header().Set("WWW-Authenticate", `Phone realm="coldbatch"`)
	}
	if hidden || reply.Code == fault.Internal {
		s.Log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	if strings.HasPrefix(r.URL.Path, "/api/") && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
		s.writeJSON(w, r, code, struct {
			Error *fault.Fault `json:"error"`
		}{reply})
		return
	}
	h := w.Header()
	h.Set("Content-Type", contentTypes[".html"])
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	if r.Method != http.MethodHead {
		s.writeRefusalPage(w, r, reply)
	}
}
