//go:build unix

package pairing_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
	"strings"
	"testing"
)

// A stranger keeps what it writes until it is let in. Who keeps the house names
// phones, lets one out and in again, and decides on what it sent meanwhile.
func TestPhonesOfTheHouse(t *testing.T) {
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	mine, lent := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())
	mine.AllowComplaint(`the server responded with a status of 40[13]`) // a wrong code
	lent.AllowComplaint(`the server responded with a status of 40[13]`) // let in no more

	mine.StartBatch("Before it was in")
	mine.WaitForText("not paired · 1 to send")
	mine.AuditScreen("/", "This phone is not paired")
	mine.AuditScreen("/phone", "What you write stays here until it is")
	mine.AuditScreen("/join", "An invitation makes this a phone of the house")
	mine.Open("/join")
	mine.Fill("Code", "0000 0001")
	mine.Tap("Pair this phone")
	mine.WaitForText("This code is mistyped")
	mine.Pair(h.Invite(), "kitchen phone")
	mine.WaitForSync()
	hubtest.WaitUntil(t, "the batch on the hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 1 })

	lent.Pair(h.Invite(), "phone")
	lent.WaitForSync()
	lent.Open("/batches")
	lent.WaitForText("Before it was in")
	mine.Open("/phones")
	mine.WaitForText("kitchen phone", "this phone")
	mine.AuditScreen("/phones", "kitchen phone", "Add a phone", "kitchen phone…")
	mine.Open("/phones")
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
	lent.Open("/phone")
	lent.WaitForText("waits for the owner")
	lent.AuditScreen("/phone", "waits for the owner")
	mine.AuditScreen("/phones", "1 entry waits for you")
	mine.Open("/phones")
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
	mine.Open("/batches")
	mine.WaitForText("Written in the attic")
	lent.Open("/")
	lent.WaitForSync()
}

// A code is drawn out of reach, and says that it is good for nothing yet. What the
// hub does not take of a helper is shown, and sent again by a phone of the house.
func TestShareIsDrawnOffline(t *testing.T) {
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	mine, helper := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())
	mine.Pair(h.Invite(), "kitchen phone")
	base := mine.StartBatch("Market tees")
	mine.WaitForSync()
	mine.WaitForInstall()
	mine.AllowOffline()
	helper.AllowOffline()
	h.Stop()
	mine.Open(base + "/share")
	mine.Tap("Let helpers in")
	mine.WaitForText("The helper can join once this phone has reached the hub")
	mine.AuditScreen(base+"/share", "The helper can join once")
	code := phonetest.Evaluate[string](mine, `document.querySelector('.code .typed b').innerText`)
	h.Start()
	mine.Open(base + "/share")
	mine.WaitForText("Good for any number of phones")
	mine.Tap("Stop sharing")
	mine.WaitForText("Sharing stopped")
	mine.WaitForNoText("Good for any number of phones")
	mine.Tap("Undo")
	mine.WaitForText("Good for any number of phones")
	mine.WaitForSync()

	helper.Open("/join")
	helper.Fill("Code", strings.ToLower(strings.ReplaceAll(code, "-", " ")))
	helper.Fill("Name of this phone", "porch phone")
	helper.Tap("Pair this phone")
	helper.Tap("To the batch")
	helper.WaitForSync()
	for _, path := range []string{"/", "/batches", "/shelf", base, base + "/history", base + "/share", "/phone", "/join", "/phones"} {
		helper.Open(path)
		helper.WaitForNoText("New batch")
		helper.WaitForNoText("New place")
		helper.Audit("a helper's " + path)
	}
	phonetest.Evaluate[bool](helper, `Promise.all([appModule('/core/core.js'), appModule('/journal/journal.js')]).then(async ([{call}, {record}]) => {
		const [id] = await call('id.new', {n: 1});
		await record([{scope: 'place/' + id, subject: id, kind: 'place.named', body: {name: 'their porch'}}]);
		return true;
	})`)
	helper.Open("/phone")
	helper.WaitForText("Not taken by the hub", "Place named")
	helper.AuditScreen("/phone", "Not taken by the hub")
	mine.Open(base + "/share")
	mine.WaitForText("porch phone")
	mine.AuditScreen(base+"/share", "porch phone")

	helper.Open("/phone")
	helper.Tap("Helper…")
	helper.Fill("Code", h.Invite())
	helper.Tap("Pair this phone")
	helper.WaitForText("It is a phone of the house")
	hubtest.WaitUntil(t, "the place on the hub", func() bool { return h.CountFacts(journal.KindPlaceNamed) == 1 })
	helper.Open("/phone")
	helper.WaitForSync()
	helper.WaitForNoText("Not taken by the hub")
}

// The program was put back from an old copy, which knows neither the phone nor
// what it wrote: it is paired again, and sends all of it.
func TestPhoneIsPairedAgain(t *testing.T) {
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	restore := h.SnapshotJournal()
	p := phonetest.NewPhoneIn(t, phonetest.TrustingBrowser(t, h.AuthorityFile()), h.AppURL())
	p.Pair(h.Invite(), "kitchen phone")
	p.StartBatch("Market tees")
	hubtest.WaitUntil(t, "the batch on the hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 1 })
	p.AllowOffline()

	restore()
	p.Open("/")
	p.WaitForText("pair again", "The hub no longer knows this phone")
	p.StartBatch("Written by a stranger")
	p.WaitForText("pair again · 1 to send")
	p.AuditScreen("/phone", "Nothing is lost")
	p.Open("/phone")
	p.Tap("Pair this phone again")
	p.WaitForText("everything here is sent")
	p.Fill("Code", h.Invite())
	p.Tap("Pair this phone")
	p.WaitForText("This phone is in")
	hubtest.WaitUntil(t, "both batches on the hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 2 })
	p.WaitForSync()
	p.Open("/batches")
	p.WaitForText("Market tees", "Written by a stranger")
}
