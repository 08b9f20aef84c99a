//go:build js && wasm

package main

import "coldbatch/internal/calltable"

func main() { calltable.Table(foldCalls).Serve() }
