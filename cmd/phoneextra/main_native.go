//go:build !js

package main

import (
	"fmt"
	"os"
)

func main() {
	say := func(w *os.File) func(string) { return func(text string) { fmt.Fprintln(w, text) } }
	os.Exit(extraCalls.Serve("phoneextra", os.Args[1:], say(os.Stdout), say(os.Stderr)))
}
