//go:build unix

package pairing_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"testing"
)

// An unpaired phone keeps what it writes until it is paired. An owner names phones, removes one
// and gives it access again, and decides on what it sent meanwhile.
func TestPhonesOfTheHouse(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	mine, lent := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())
	mine.AllowError(`the server responded with a status of 40[13]`) // a wrong code
	lent.AllowError(`the server responded with a status of 40[13]`) // let in no more

	mine.StartBatch("Before it was in")
	mine.WaitForText("not paired · 1 to send")
	mine.AuditScreen("/", "This phone is not paired")
	mine.AuditScreen("/phone", "What you write stays here until it is")
	mine.AuditScreen("/join", "An invitation makes this a phone of the house")
	mine.Fill("Code", "0000 0001")
	mine.Tap("Pair this phone")
	mine.WaitForText("This code is mistyped")
	mine.Pair(h.Invite(), "kitchen phone")
	mine.WaitForSync()
	hubtest.WaitUntil(t, "the batch on the hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 1 })

	lent.Pair(h.Invite(), "phone")
	lent.WaitForSync()
	lent.GoTo("/batches")
	lent.WaitForText("Before it was in")
	mine.AuditScreen("/phones", "this phone", "Add a phone", "kitchen phone…")
	mine.Tap("phone letter B…")
	mine.Fill("Name", "attic phone")
	mine.Tap("Save the name")
	mine.WaitForText("Renamed attic phone")
	mine.Tap("attic phone…")
	mine.Tap("Remove this phone")
	mine.WaitForText("attic phone removed")
	mine.WaitForSync()

	lent.WaitForText("removed")
	lent.StartBatch("Written in the attic")
	lent.AuditScreen("/phone", "is waiting for the owner")
	mine.AuditScreen("/phones", "1 entry waits for you")
	mine.Tap("attic phone…")
	mine.Tap("Look at them")
	mine.WaitForText("A batch begins")
	mine.Audit("what waits")
	mine.Tap("Reject")
	mine.Tap("1 entry was rejected…")
	mine.Tap("Accept")
	mine.WaitForNoText("Accept")
	mine.Tap("Restore this phone")
	mine.WaitForText("Undone")
	mine.GoTo("/batches")
	mine.WaitForText("Written in the attic")
	lent.WaitForSync()
}

// The program was put back from an old copy, which knows neither the phone nor
// what it wrote: it is paired again, and sends all of it.
func TestPhoneIsPairedAgain(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	restore := h.SnapshotJournal()
	p := phonetest.NewPhoneIn(t, phonetest.TrustingBrowser(t, h.AuthorityFile()), h.AppURL())
	p.Pair(h.Invite(), "kitchen phone")
	p.StartBatch("Market tees")
	hubtest.WaitUntil(t, "the batch on the hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 1 })
	p.AllowNetworkErrors()
	p.AllowError(`the server responded with a status of 401`) // a phone that it does not know

	restore()
	p.GoTo("/")
	p.WaitForText("pair again", "The hub no longer knows this phone")
	p.StartBatch("Written by a stranger")
	p.WaitForText("pair again · 1 to send")
	p.AuditScreen("/phone", "Nothing is lost")
	p.Tap("Pair this phone again")
	p.WaitForText("everything here is sent")
	p.Fill("Code", h.Invite())
	p.Tap("Pair this phone")
	p.WaitForText("This phone is paired")
	hubtest.WaitUntil(t, "both batches on the hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 2 })
	p.WaitForSync()
	p.GoTo("/batches")
	p.WaitForText("Market tees", "Written by a stranger")
}
