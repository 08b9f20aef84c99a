package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"html"
	"io"
	"net/http"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"coldbatch/internal/calc"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// maxBody is the longest request that is read, and patience how long its coming
// may take.
const (
	maxBody  = 1 << 20
	patience = 30 * time.Second
)

// Call is a use case: the body of a request in, what is answered out.
type Call func(body []byte) (any, error)

// Body makes a Call of a use case that takes a Q and gives an A.
func Body[Q, A any](f func(Q) (A, error)) Call {
	return func(body []byte) (any, error) {
		var q Q
		if err := decode(body, &q); err != nil {
			return nil, err
		}
		return f(q)
	}
}

func decode(body []byte, into any) error {
	if err := json.Unmarshal(body, into); err != nil {
		if f := (*fault.Fault)(nil); errors.As(err, &f) {
			return f
		}
		return fault.New(fault.Input, "the request is not the JSON that is expected: %v", err)
	}
	return nil
}

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

// errTooLong and errMethod have no code of their own in the core: only HTTP
// knows them.
var (
	errTooLong = fault.New(fault.Input, "the request is longer than 1 MB").WithHint("send it in parts")
	errMethod  = fault.New(fault.Input, "this address does not take that method")
)

func nowhere(r *http.Request) (any, error) {
	return nil, fault.New(fault.NotFound, "there is nothing at %q", clip(r.URL.Path))
}

func wrongMethod(*http.Request) (any, error) { return nil, errMethod }

// api answers with what f gives, or with its fault.
func (s *server) api(f func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := f(r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		write(w, http.StatusOK, v)
	}
}

// post reads the body and hands it to c.
func (s *server) post(c Call) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		// A phone that walks off while it sends must not hold the connection.
		_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(patience)) // not every writer can
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
		if err != nil {
			if long := (*http.MaxBytesError)(nil); errors.As(err, &long) {
				err = errTooLong
			} else {
				err = fault.New(fault.Input, "the request broke off")
			}
			s.fail(w, r, err)
			return
		}
		v, err := c(body)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		write(w, http.StatusOK, v)
	}
}

// sum runs a calculator.
func (s *server) sum(w http.ResponseWriter, r *http.Request) {
	s.post(Body(func(q struct {
		Inputs map[string]string `json:"inputs"`
		Style  unit.Style        `json:"style"`
		Zone   string            `json:"zone"`
	}) (*calc.Result, error) {
		env, err := s.Env(q.Zone)
		if err != nil {
			return nil, err
		}
		env.Style = q.Style
		return calc.Run(mux.Vars(r)["name"], q.Inputs, env)
	}))(w, r)
}

// fail tells err: as JSON under /api/, else as a plain page. What is our own
// mistake is logged and told only as such.
func (s *server) fail(w http.ResponseWriter, r *http.Request, err error) {
	told := fault.Of(err)
	code := status[told.Code]
	switch {
	case told == errTooLong:
		code = http.StatusRequestEntityTooLarge
	case told == errMethod:
		code = http.StatusMethodNotAllowed
	case code == 0:
		code = http.StatusInternalServerError
	}
	if told.Code == fault.Internal {
		s.Log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		write(w, code, struct {
			Error *fault.Fault `json:"error"`
		}{told})
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	io.WriteString(w, "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>coldbatch</title>\n<p>"+html.EscapeString(told.Error())+"\n")
}

// write sends v as JSON. HTML is not escaped: facts travel byte for byte.
func write(w http.ResponseWriter, code int, v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		code, b = http.StatusInternalServerError, *bytes.NewBufferString(`{"error":{"code":"internal","sentence":"the answer could not be written"}}` + "\n")
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	w.Write(b.Bytes())
}
