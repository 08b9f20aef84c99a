// Command phonecore is the core for the phone: compiled to WebAssembly it runs
// in a web worker and offers one function, coldbatchCall(name, json, bytes?) → json. The
// answer is {"value": …} or {"error": fault}; where the call gives bytes it is the object
// {text, bytes}, with the JSON as text. The calls stand in tables, one a file. It has no network and no files; clock and zone come in with each call.
package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"coldbatch/internal/fault"
)

// call is one thing the phone can ask of the core: JSON in and a value out, and beside
// them bytes, as of a picture, for the calls that take or give any.
type call func(body json.RawMessage, in []byte) (value any, out []byte, err error)

// table is calls by name.
type table map[string]call

// calls are all calls.
var calls = merge(sumCalls, quantityCalls, factCalls, exchangeCalls, batchCalls, houseCalls, labelCalls, photoCalls)

func merge(tables ...table) table {
	all := table{}
	for _, t := range tables {
		maps.Copy(all, t)
	}
	return all
}

// on makes a call of a function without bytes: the body is read as Q, and an empty one is
// Q's zero.
func on[Q, A any](f func(Q) (A, error)) call {
	return func(body json.RawMessage, _ []byte) (any, []byte, error) {
		q, err := readArgs[Q](body)
		if err != nil {
			return nil, nil, err
		}
		value, err := f(q)
		return value, nil, err
	}
}

// onBytes makes a call of a function that takes bytes and may give bytes.
func onBytes[Q, A any](f func(Q, []byte) (A, []byte, error)) call {
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

// answer is what goes back.
type answer struct {
	Value any          `json:"value,omitempty"`
	Error *fault.Fault `json:"error,omitempty"`
}

// dispatch runs one call and gives its answer as JSON, and the bytes it gives beside it,
// nil for none. It never panics: what does becomes an internal fault, and its text goes
// to complain.
func dispatch(name, body string, in []byte, complain func(string)) (text string, out []byte) {
	defer func() {
		if r := recover(); r != nil {
			complain(fmt.Sprintf("%s: %v", name, r))
			text, out = write(answer{Error: fault.Of(fmt.Errorf("%v", r))}, complain), nil
		}
	}()
	f, ok := calls[name]
	if !ok {
		return write(answer{Error: fault.New(fault.NotFound, "the core has no call %q", name)}, complain), nil
	}
	v, out, err := f(json.RawMessage(body), in)
	if err != nil {
		asFault := fault.Of(err)
		if asFault.Code == fault.Internal {
			complain(fmt.Sprintf("%s: %v", name, err))
		}
		return write(answer{Error: asFault}, complain), nil
	}
	return write(answer{Value: v}, complain), out
}

func write(a answer, complain func(string)) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // a fact's text stays as it is
	if err := e.Encode(a); err != nil {
		complain(err.Error())
		return `{"error":{"code":"internal","sentence":"the core could not write its answer"}}`
	}
	return b.String()
}
