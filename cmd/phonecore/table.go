// Command phonecore is the core for the phone: compiled to WebAssembly it runs
// in a web worker and offers one function, coldbatchCall(name, json) → json. The
// answer is {"value": …} or {"error": fault}. The calls stand in tables, one a
// file. It has no network and no files; clock and zone come in with each call.
package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"coldbatch/internal/fault"
)

// call is one thing the phone can ask of the core.
type call func(body json.RawMessage) (any, error)

// table is calls by name.
type table map[string]call

// calls are all calls.
var calls = merge(sumCalls, quantityCalls, factCalls, exchangeCalls, batchCalls, houseCalls, labelCalls)

func merge(tables ...table) table {
	all := table{}
	for _, t := range tables {
		maps.Copy(all, t)
	}
	return all
}

// on makes a call of a function: the body is read as Q, and an empty one is Q's
// zero.
func on[Q, A any](f func(Q) (A, error)) call {
	return func(body json.RawMessage) (any, error) {
		var q Q
		if len(body) > 0 {
			if err := json.Unmarshal(body, &q); err != nil {
				if fault.Is(err, fault.Input) {
					return nil, err
				}
				return nil, fault.New(fault.Input, "the request does not fit the call: %v", err)
			}
		}
		return f(q)
	}
}

// answer is what goes back.
type answer struct {
	Value any          `json:"value,omitempty"`
	Error *fault.Fault `json:"error,omitempty"`
}

// dispatch runs one call. It never panics: what does is told as an internal
// fault, and its text goes to complain.
func dispatch(name, body string, complain func(string)) (text string) {
	defer func() {
		if r := recover(); r != nil {
			complain(fmt.Sprintf("%s: %v", name, r))
			text = write(answer{Error: fault.Of(fmt.Errorf("%v", r))}, complain)
		}
	}()
	f, ok := calls[name]
	if !ok {
		return write(answer{Error: fault.New(fault.NotFound, "the core has no call %q", name)}, complain)
	}
	v, err := f(json.RawMessage(body))
	if err != nil {
		told := fault.Of(err)
		if told.Code == fault.Internal {
			complain(fmt.Sprintf("%s: %v", name, err))
		}
		return write(answer{Error: told}, complain)
	}
	return write(answer{Value: v}, complain)
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
