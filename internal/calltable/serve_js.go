//go:build js && wasm

package calltable

import "syscall/js"

// Serve puts coldbatchCall in place, says so by calling coldbatchReady where the worker
// has one, and waits for calls.
func (t Table) Serve() {
	complain := func(text string) { js.Global().Get("console").Call("error", "core: "+text) }
	js.Global().Set("coldbatchCall", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) < 2 || len(args) > 3 || args[0].Type() != js.TypeString || args[1].Type() != js.TypeString {
			return `{"error":{"code":"internal","sentence":"coldbatchCall takes a name, JSON text and maybe bytes"}}`
		}
		var in []byte
		if len(args) == 3 && args[2].InstanceOf(js.Global().Get("Uint8Array")) {
			in = make([]byte, args[2].Get("length").Int())
			js.CopyBytesToGo(in, args[2])
		}
		text, out := t.Dispatch(args[0].String(), args[1].String(), in, complain)
		if out == nil {
			return text
		}
		bytes := js.Global().Get("Uint8Array").New(len(out))
		js.CopyBytesToJS(bytes, out)
		return map[string]any{"text": text, "bytes": bytes}
	}))
	if ready := js.Global().Get("coldbatchReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	select {}
}
