// Command phonecore is the core for the phone: compiled to WebAssembly it runs in a web
// worker and offers one function, coldbatchCall(name, json, bytes?) → json. The answer is
// {"value": …} or {"error": fault}; if the call returns bytes, it is the object {text,
// bytes}, with the JSON as text. The calls are in tables, one table a file. The core has no
// network and no files; each call passes in the time and the zone it needs.
package main

import "coldbatch/internal/calltable"

// callTable is calls by name.
type callTable calltable.Table

// allCalls are all calls.
var allCalls = calltable.Merge(aboutCalls, quantityCalls, factCalls, exchangeCalls, batchCalls, houseCalls, shelfCalls, labelCalls, photoCalls)

// jsonCall makes a call from a function without bytes, onBytes from one with bytes.
func jsonCall[Q, A any](f func(Q) (A, error)) calltable.Call { return calltable.JSON(f) }

func onBytes[Q, A any](f func(Q, []byte) (A, []byte, error)) calltable.Call {
	return calltable.OnBytes(f)
}
