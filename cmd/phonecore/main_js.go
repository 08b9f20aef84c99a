//go:build js && wasm

package main

import "syscall/js"

func main() { allCalls.Serve() }

// fillRandom fills b from the browser's generator, at most 65536 bytes at a time as
// the Web Cryptography API allows.
func fillRandom(b []byte) {
	crypto := js.Global().Get("crypto")
	for len(b) > 0 {
		n := min(len(b), 1<<16)
		a := js.Global().Get("Uint8Array").New(n)
		crypto.Call("getRandomValues", a)
		js.CopyBytesToGo(b[:n], a)
		b = b[n:]
	}
}
