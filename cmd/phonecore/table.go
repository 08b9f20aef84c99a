// Command phonecore is the core for the phone: compiled to WebAssembly it runs in a web
// worker and offers one function, coldbatchCall(name, json, bytes?) → json. The answer is
// {"value": …} or {"error": fault}; if the call returns bytes, it is the object {text,
// bytes}, with the JSON as text. The calls are in tables, one table a file. The core has no
// network and no files; each call passes in the time and the zone it needs.
package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"coldbatch/internal/fault"
)

// coreCall is one function that the phone can call: JSON in and a value out, and for some calls
// also bytes in or out, such as a photo.
type coreCall func(body json.RawMessage, in []byte) (value any, out []byte, err error)

// callTable is calls by name.
type callTable map[string]coreCall

// allCalls are all calls.
var allCalls = mergeTables(sumCalls, quantityCalls, factCalls, exchangeCalls, batchCalls, houseCalls, shelfCalls, labelCalls, photoCalls)

func mergeTables(tables ...callTable) callTable {
	all := callTable{}
	for _, t := range tables {
		maps.Copy(all, t)
	}
	return all
}

// jsonCall makes a call from a function without bytes. It decodes the body as Q; an empty body is
// the zero Q.
func jsonCall[Q, A any](f func(Q) (A, error)) coreCall {
	return func(body json.RawMessage, _ []byte) (any, []byte, error) {
		q, err := readArgs[Q](body)
		if err != nil {
			return nil, nil, err
		}
		value, err := f(q)
		return value, nil, err
	}
}

// onBytes makes a call from a function that takes bytes and may return bytes.
func onBytes[Q, A any](f func(Q, []byte) (A, []byte, error)) coreCall {
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

// callAnswer is what the page receives.
type callAnswer struct {
	Value any          `json:"value,omitempty"`
	Error *fault.Fault `json:"error,omitempty"`
}

// dispatch runs one call and returns its answer as JSON, and its bytes, nil for none. It
// turns a panic into an internal fault and passes the text of the panic to complain.
func dispatch(name, body string, in []byte, logError func(string)) (text string, out []byte) {
	defer func() {
		if r := recover(); r != nil {
			logError(fmt.Sprintf("%s: %v", name, r))
			text, out = encodeAnswer(callAnswer{Error: fault.AsFault(fmt.Errorf("%v", r))}, logError), nil
		}
	}()
	f, ok := allCalls[name]
	if !ok {
		return encodeAnswer(callAnswer{Error: fault.New(fault.NotFound, "the core has no call %q", name)}, logError), nil
	}
	v, out, err := f(json.RawMessage(body), in)
	if err != nil {
		asFault := fault.AsFault(err)
		if asFault.Code == fault.Internal {
			logError(fmt.Sprintf("%s: %v", name, err))
		}
		return encodeAnswer(callAnswer{Error: asFault}, logError), nil
	}
	return encodeAnswer(callAnswer{Value: v}, logError), out
}

func encodeAnswer(a callAnswer, logError func(string)) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // a fact's text stays as it is
	if err := e.Encode(a); err != nil {
		logError(err.Error())
		return `{"error":{"code":"internal","sentence":"the core could not write its answer"}}`
	}
	return b.String()
}
