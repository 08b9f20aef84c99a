//go:build unix

package screens_test

import (
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"slices"
	"testing"
)

const banner = "invented example"

// The example of the empty first screen lives on the phone alone and is gone in
// one tap.
func TestExampleOfTheFirstScreen(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p := phonetest.Start(t)
	p.WaitForText("Look at the example")
	p.Audit("the empty first screen")
	p.Tap("Look at the example")
	p.WaitForText(banner, "open batches", "never sent")
	p.Tap("New batch")
	p.Fill("Name", "Made in the example")
	p.Tap("Start the batch")
	p.WaitForText("Batch started")
	p.GoTo("/batches")
	p.WaitForText(banner, "Made in the example")
	p.Tap("Close example")
	p.WaitForText("Look at the example")
	p.WaitForNoText(banner)
	p.WaitForSync()
	if n := h.CountFacts(journal.KindBatchStarted); n != 0 {
		t.Errorf("%d batches of the example came to the program", n)
	}
	p.Tap("Look at the example")
	p.WaitForText(banner, "open batches")
	p.GoTo("/batches")
	p.WaitForText("Open")
	p.WaitForNoText("Made in the example") // it is made afresh
}

// The program started with --example shows the example to every phone, and one tap brings the
// journal back as it was.
func TestExampleOfTheProgram(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, _ := phonetest.StartPlanned(t)
	p.WaitForSync()
	before := h.PersonFacts()

	p.AllowNetworkErrors()
	h.Stop()
	h.Args = []string{"--example"}
	h.Start()
	p.Open("/")
	p.WaitForText(banner, "open batches")
	p.WaitForNoText("Picnic cloths")
	guest := phonetest.NewPhone(t, h.URL())
	guest.Open("/")
	guest.WaitForText(banner, "open batches")

	p.Tap("Close example")
	p.WaitForText("Picnic cloths")
	p.WaitForNoText(banner)
	p.WaitForSync()
	guest.Open("/")
	guest.WaitForText("Picnic cloths")
	guest.WaitForNoText(banner)
	guest.WaitForSync()
	if now := h.PersonFacts(); !slices.Equal(now, before) {
		t.Errorf("the journal held %v, now %v", before, now)
	}
}
