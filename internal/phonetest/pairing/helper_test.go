//go:build unix

package pairing_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
	"fmt"
	"strings"
	"testing"
	"time"
)

// countScopes returns how many batches and places there are facts of on the phone.
func countScopes(p *phonetest.Phone) int {
	p.T.Helper()
	return phonetest.Evaluate[int](p, `appModule('/journal/facts.js').then(async ({allFacts}) => new Set((await allFacts()).map(f => f.scope)).size)`)
}

// An owner and a helper in one batch: the helper is let in by the batch's code and
// sees that batch alone, both write while they are apart, agree when they meet, and
// the helper is out at once when it is let in no more.
func TestOwnerAndHelper(t *testing.T) {
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	owner, helper := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())

	owner.Pair(h.Invite(), "kitchen phone")
	owner.StartBatch("Not for helpers")
	base := owner.StartBatch("Market tees")
	owner.Tap("Tee, medium")
	owner.Tap("Add 1 to the batch")
	owner.Tap("Washed out")
	owner.Tap("Choose the colours")
	owner.Tap("rust")
	owner.Fill("Strength at full depth", "26 g/L")
	owner.Tap("vinyl sulfone…")
	owner.Tap("Add rust")
	hubtest.WaitUntil(t, "the colour on the hub", func() bool { return h.CountFacts(journal.KindColourChosen) == 1 })

	address, code := drawShareOffline(h, owner, base)
	helper.Open(address[strings.Index(address, "/JOIN/"):]) // as the phone's camera opens it
	helper.WaitFor("the code in its field", `[...document.querySelectorAll('input')].some(i => i.value.replace(/\W/g, '').toUpperCase() === '`+strings.ReplaceAll(code, "-", "")+`')`)
	helper.Fill("Code", strings.ToLower(strings.ReplaceAll(code, "-", " ")))
	helper.Fill("Name of this phone", "porch phone")
	helper.Tap("Pair this phone")
	helper.WaitForText("It helps with")
	helper.Tap("Go to the batch")
	helper.WaitForText("Market tees", "synced")
	helper.GoTo("/batches")
	helper.WaitForText("Market tees")
	helper.WaitForNoText("Not for helpers")
	if n := countScopes(helper); n != 1 {
		t.Errorf("the helper's phone has facts of %d scopes, not of the one batch", n)
	}
	auditHelper(helper, base)
	owner.AuditScreen(base+"/share", "porch phone")

	// Whoever may close bags may print blanks: they are numbers of its own.
	helper.GoTo(base + "/labels")
	helper.WaitForPages("Print blanks", "PDF")

	// Apart, both go on; the helper's clock is three hours slow.
	helper.WaitForInstall()
	helper.AllowNetworkErrors()
	h.Stop()
	helper.AdvanceClock(-3 * time.Hour)
	helper.Open(base + "/bagging")
	helper.Tap("Close bag…")
	helper.WaitForText("closed")
	owner.GoTo(base)
	owner.Tap("Change the name")
	owner.Fill("Name", "Market tees, June")
	owner.Tap("Save the name")
	owner.WaitForText("1 to send")
	closed := time.Now()

	h.Start()
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.GoTo(base)
		p.WaitForSync()
	}
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.WaitForText("Market tees, June")
		p.WaitFor("the bag with its right time", `appModule('/journal/views.js').then(async ({batchView}) => {
			const {bags} = await batchView('`+base[len("/batch/"):]+`');
			return bags.length === 1 && Math.abs(bags[0].closedAt - `+fmt.Sprint(closed.UnixMilli())+`) < 120e3;
		})`)
		p.GoTo(base + "/history")
		writer := map[*phonetest.Phone]string{owner: "porch phone", helper: "this phone"}[p]
		p.WaitForText(writer, "phone's clock was 3 h")
	}
	if o, hp := factIDs(owner, base), factIDs(helper, base); o == "" || o != hp {
		t.Errorf("the owner's phone has the facts\n%s\nthe helper's\n%s", o, hp)
	}
	owner.WaitForText("this phone")
	undoHelper(owner, helper, base)

	helper.AllowError(`the server responded with a status of 403`) // let in no more
	owner.GoTo("/phones")
	owner.Tap("porch phone…")
	owner.Tap("Remove this phone")
	owner.WaitForSync()
	helper.WaitForText("removed")
	helper.GoTo("/batches") // what it has stays on it, and what it writes now waits
	helper.WaitForText("Market tees, June")
	owner.Tap("porch phone…")
	owner.Tap("Restore this phone")
	owner.WaitForSync()
	helper.Reload() // it asks the hub at once
	sendAsPhoneOfTheHouse(h, helper)
}

// undoHelper undoes all that the helper recorded in the batch, in one act, and takes that back.
func undoHelper(owner, helper *phonetest.Phone, base string) {
	owner.T.Helper()
	helper.GoTo(base)
	helper.Tap("Bag 21…")
	helper.Tap("I had a look")
	helper.WaitForSync()
	owner.WaitForText("opened for a look")
	waitForBags := func(n int) {
		owner.T.Helper()
		owner.WaitFor(fmt.Sprint(n, " bags"), fmt.Sprintf(`appModule('/journal/views.js').then(async ({batchView}) => (await batchView(%q)).bags.length === %d)`,
			base[len("/batch/"):], n))
	}
	owner.Tap("porch phone (helper)")
	owner.Audit("the history of one phone")
	owner.Tap("Undo all…")
	waitForBags(0)
	owner.WaitForText("· undone")
	owner.Tap("Redo")
	waitForBags(1)
}

// drawShareOffline draws a batch's code while the hub is out of reach: it says that it is
// good for nothing yet. It returns the address in the code, and the code as it is typed.
func drawShareOffline(h *hubtest.Hub, owner *phonetest.Phone, base string) (address, code string) {
	owner.T.Helper()
	owner.WaitForSync()
	owner.AllowNetworkErrors()
	h.Stop()
	owner.GoTo(base + "/share")
	owner.Tap("Share with helpers")
	owner.AuditScreen(base+"/share", "The helper can join once this phone has reached the hub")
	address = owner.ReadCode(".join-code .qr")
	code = phonetest.Evaluate[string](owner, `document.querySelector('.join-code .to-type b').innerText`)
	h.Start()
	owner.WaitForText("Valid for any number of phones")
	owner.Tap("Stop sharing")
	owner.WaitForText("Sharing stopped")
	owner.WaitForNoText("Valid for any number of phones")
	owner.Tap("Undo")
	owner.WaitForText("Valid for any number of phones")
	owner.WaitForSync()
	return address, code
}

// auditHelper audits what a helper sees, which offers nothing that it may not do.
func auditHelper(helper *phonetest.Phone, base string) {
	helper.T.Helper()
	for _, path := range []string{"/", "/batches", "/shelf", base, base + "/history", base + "/share", "/phone", "/join", "/phones"} {
		helper.GoTo(path)
		helper.WaitFor("the heading of "+path, `document.querySelector('h1')?.textContent.trim()`)
		helper.WaitForNoText("New batch")
		helper.WaitForNoText("New place")
		helper.Audit("a helper's " + path)
	}
}

// sendAsPhoneOfTheHouse has a helper write what the hub does not take of a helper: it is
// shown, and sent again once the phone is one of the house.
func sendAsPhoneOfTheHouse(h *hubtest.Hub, helper *phonetest.Phone) {
	helper.T.Helper()
	phonetest.Evaluate[bool](helper, `Promise.all([appModule('/core/core.js'), appModule('/journal/journal.js')]).then(async ([{call}, {record}]) => {
		const [id] = await call('id.new', {n: 1});
		await record([{scope: 'place/' + id, subject: id, kind: 'place.named', body: {name: 'their porch'}}]);
		return true;
	})`)
	helper.AuditScreen("/phone", "Refused by the hub")
	helper.WaitForText("Place named")
	helper.Tap("Helper…")
	helper.Fill("Code", h.Invite())
	helper.Tap("Pair this phone")
	helper.WaitForText("It is now one of the phones of this house")
	hubtest.WaitUntil(helper.T, "the place on the hub", func() bool { return h.CountFacts(journal.KindPlaceNamed) == 1 })
	helper.GoTo("/phone")
	helper.WaitForSync()
	helper.WaitForNoText("Refused by the hub")
}

// factIDs returns the ids of all facts of a batch on the phone, in order.
func factIDs(p *phonetest.Phone, base string) string {
	p.T.Helper()
	return phonetest.Evaluate[string](p, `appModule('/journal/facts.js').then(async ({factsOfScope}) => (await factsOfScope('`+base[1:]+`')).map(f => f.id).sort().join(' '))`)
}
