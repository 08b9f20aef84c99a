//go:build unix

package bags_test

import (
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
)

// A program started on another folder answers at the address where this browser has its journal. Neither
// gets anything of the other until the person says that the two belong together.
func TestOtherFolderAtTheSameAddress(t *testing.T) {
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.WaitForSync()
	p.AllowNetworkErrors()
	h.Stop()
	first := h.Data
	h.Data = t.TempDir()
	h.Start()
	p.Open("/")
	p.WaitForText("keeps another journal than this browser")
	p.Audit("another journal at this address")
	p.GoTo(batch)
	p.Tap("Change the name")
	p.Fill("Name", "apart")
	p.Tap("Save the name")
	p.WaitForText("1 to send")
	if n := len(h.Facts()); n != 0 {
		t.Fatalf("%d facts came to the other folder unasked", n)
	}

	// Back on the first folder all goes on as before.
	h.Stop()
	second := h.Data
	h.Data = first
	h.Start()
	p.Open("/")
	p.WaitForSync()
	p.WaitForNoText("another journal")

	h.Stop()
	h.Data = second
	h.Start()
	p.Open("/")
	p.Tap("Join the two")
	p.WaitForText("It gets every entry too")
	p.WaitForSync()
	hubtest.WaitUntil(t, "the batch in the other folder", func() bool { return h.CountFacts(journal.KindBatchStarted) == 1 })
}
