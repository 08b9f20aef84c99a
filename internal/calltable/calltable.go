// Package calltable is what the programs for the phone have in common: tables of calls by
// name, JSON in and JSON out, and bytes beside them. Make calls with JSON and OnBytes, and
// answer one with Dispatch. Compiled for the phone, Serve offers the calls to the worker.
// The package knows no call itself.
package calltable

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"coldbatch/internal/fault"
)

// Call is one function that the phone can call: JSON in and a value out, and for some calls
// also bytes in or out, such as a photo.
type Call func(body json.RawMessage, in []byte) (value any, out []byte, err error)

// Table is calls by name.
type Table map[string]Call

// Merge makes one table of several.
func Merge[T ~map[string]Call](tables ...T) Table {
	all := Table{}
	for _, t := range tables {
		maps.Copy(all, t)
	}
	return all
}

// JSON makes a call from a function without bytes. It decodes the body as Q; an empty body is
// the zero Q.
func JSON[Q, A any](f func(Q) (A, error)) Call {
	return func(body json.RawMessage, _ []byte) (any, []byte, error) {
		q, err := readArgs[Q](body)
		if err != nil {
			return nil, nil, err
		}
		value, err := f(q)
		return value, nil, err
	}
}

// OnBytes makes a call from a function that takes bytes and may return bytes.
func OnBytes[Q, A any](f func(Q, []byte) (A, []byte, error)) Call {
	return func(body json.RawMessage, in []byte) (any, []byte, error) {
		q, err := readArgs[Q](body)
		if err != nil {
			return nil, nil, err
		}
		return f(q, in)
	}
}

func readArgs[Q any](body json.RawMessage) (q Q, err error) {
	if len(body) == 0 {
		return q, nil
	}
	if err := json.Unmarshal(body, &q); err != nil {
		if fault.Is(err, fault.Input) {
			return q, err
		}
		return q, fault.New(fault.Input, "the request does not fit the call: %v", err)
	}
	return q, nil
}

// Answer is what the page receives.
type Answer struct {
	Value any          `json:"value,omitempty"`
	Error *fault.Fault `json:"error,omitempty"`
}

// Dispatch runs one call and returns its answer as JSON, and its bytes, nil for none. It
// turns a panic into an internal fault and passes the text of the panic to complain.
func (t Table) Dispatch(name, body string, in []byte, complain func(string)) (text string, out []byte) {
	defer func() {
		if r := recover(); r != nil {
			complain(fmt.Sprintf("%s: %v", name, r))
			text, out = write(Answer{Error: fault.AsFault(fmt.Errorf("%v", r))}, complain), nil
		}
	}()
	f, ok := t[name]
	if !ok {
		return write(Answer{Error: fault.New(fault.NotFound, "the core has no call %q", name)}, complain), nil
	}
	v, out, err := f(json.RawMessage(body), in)
	if err != nil {
		asFault := fault.AsFault(err)
		if asFault.Code == fault.Internal {
			complain(fmt.Sprintf("%s: %v", name, err))
		}
		return write(Answer{Error: asFault}, complain), nil
	}
	return write(Answer{Value: v}, complain), out
}

func write(a Answer, complain func(string)) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // a fact's text stays as it is
	if err := e.Encode(a); err != nil {
		complain(err.Error())
		return `{"error":{"code":"internal","sentence":"the core could not write its answer"}}`
	}
	return b.String()
}
