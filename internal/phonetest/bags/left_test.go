//go:build unix

package main

import (
	"os"
	"testing"
)

// A page that was left while it opened its storage was frozen by the browser for
// the back button, and every later page waited for the storage for ever: about
// one time in ten.
func TestPageLeftWhileItStarts(t *testing.T) {
	rounds := 4
	if os.Getenv("COLDBATCH_LONG") != "" {
		rounds = 30
	}
	h := newHouse(t, "--example")
	for range rounds {
		p := newPhone(t, h.url())
		p.open("/")
		p.see("invented example")
		p.open("/batches")
		p.see("aprons for the stall")
	}
}
