//go:build !js

package calltable

import "fmt"

// Serve answers one call given as arguments, to try it by hand, and returns the exit code.
func (t Table) Serve(program string, args []string, out, complain func(string)) int {
	if len(args) != 2 {
		complain(fmt.Sprintf("%[1]s is built for the phone by go generate; to try a call here: %[1]s NAME JSON", program))
		return 2
	}
	text, bytes := t.Dispatch(args[0], args[1], nil, complain)
	out(text)
	if bytes != nil {
		out(fmt.Sprintf("and %d bytes", len(bytes)))
	}
	return 0
}
