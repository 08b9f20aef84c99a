//go:build !js

package main

import (
	"fmt"
	"os"

	"coldbatch/internal/calltable"
)

func main() {
	say := func(w *os.File) func(string) { return func(text string) { fmt.Fprintln(w, text) } }
	os.Exit(calltable.Table(foldCalls).Serve("phonefold", os.Args[1:], say(os.Stdout), say(os.Stderr)))
}
