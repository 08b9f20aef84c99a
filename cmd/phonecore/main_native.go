//go:build !js

package main

import (
	"crypto/rand"
	"fmt"
	"os"
)

// main answers one call given as arguments, to try the core by hand.
func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "phonecore is built for the phone by go generate; to try a call here: phonecore NAME JSON")
		os.Exit(2)
	}
	text, _ := dispatch(os.Args[1], os.Args[2], nil, func(text string) { fmt.Fprintln(os.Stderr, text) })
	fmt.Println(text)
}

// fillRandom fills b; crypto/rand never fails on the systems Go supports.
func fillRandom(b []byte) { rand.Read(b) }
