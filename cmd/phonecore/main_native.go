//go:build !js

package main

import (
	"crypto/rand"
	"fmt"
	"os"
)

func main() {
	say := func(w *os.File) func(string) { return func(text string) { fmt.Fprintln(w, text) } }
	os.Exit(allCalls.Serve("phonecore", os.Args[1:], say(os.Stdout), say(os.Stderr)))
}

// fillRandom fills b; crypto/rand never fails on the systems Go supports.
func fillRandom(b []byte) { rand.Read(b) }
