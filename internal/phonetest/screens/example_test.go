//go:build unix

package main

import (
	"slices"
	"testing"
)

const banner = "invented example"

// The example of the empty first screen lives on the phone alone and is gone in
// one tap.
func TestExampleOfTheFirstScreen(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.see("Look at the example")
	p.audit("the empty first screen")
	p.tap("Look at the example")
	p.see(banner, "open batches", "never sent")
	p.tap("New batch")
	p.fill("Name", "Made in the example")
	p.tap("Start the batch")
	p.see("Batch started")
	p.open("/batches")
	p.see(banner, "Made in the example")
	p.tap("Leave it")
	p.see("Look at the example")
	p.gone(banner)
	p.settled()
	if n := h.count("batch.started"); n != 0 {
		t.Errorf("%d batches of the example came to the program", n)
	}
	p.tap("Look at the example")
	p.see(banner, "open batches")
	p.open("/batches")
	p.see("Open")
	p.gone("Made in the example") // it is made afresh
}

// The program started with --example shows the example to every phone, and one
// tap brings the journal back as it was.
func TestExampleOfTheProgram(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.plan("Picnic cloths")
	p.settled()
	before := h.written()

	p.alone()
	h.stop()
	h.args = []string{"--example"}
	h.start()
	p.open("/")
	p.see(banner, "open batches")
	p.gone("Picnic cloths")
	guest := newPhone(t, h.url())
	guest.open("/")
	guest.see(banner, "open batches")

	p.tap("Leave it")
	p.see("Picnic cloths")
	p.gone(banner)
	p.settled()
	guest.open("/")
	guest.see("Picnic cloths")
	guest.gone(banner)
	guest.settled()
	if now := h.written(); !slices.Equal(now, before) {
		t.Errorf("the journal held %v, now %v", before, now)
	}
}
