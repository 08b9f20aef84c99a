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

// CountScopes gives how many batches and places there are facts of on the phone.
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
	owner.Open("/")
	owner.Tap("New batch")
	owner.Fill("Name", "Not for helpers")
	owner.Tap("Start the batch")
	owner.Open("/")
	owner.Tap("New batch")
	owner.Fill("Name", "Market tees")
	owner.Tap("Start the batch")
	owner.Tap("Tee, medium")
	owner.Tap("Add 1 to the batch")
	owner.Tap("Washed out")
	owner.Tap("Choose the colours")
	owner.Tap("rust")
	owner.Fill("Strength at full depth", "26 g/L")
	owner.Tap("vinyl sulfone…")
	owner.Tap("Add rust")
	hubtest.WaitUntil(t, "the colour on the hub", func() bool { return h.CountFacts(journal.KindColourChosen) == 1 })
	base := phonetest.Evaluate[string](owner, `location.pathname.split('/').slice(0, 3).join('/')`)

	owner.Open(base + "/share")
	owner.Tap("Let helpers in")
	address := owner.ReadCode(".code .qr")
	hubtest.WaitUntil(t, "the code on the hub", func() bool { return h.CountFacts(journal.KindShareOpened) == 1 })

	helper.Open(address[strings.Index(address, "/JOIN/"):]) // as the phone's camera opens it
	helper.Fill("Name of this phone", "porch phone")
	helper.Tap("Pair this phone")
	helper.WaitForText("It helps with")
	helper.Tap("To the batch")
	helper.WaitForText("Market tees", "synced")
	helper.Open("/batches")
	helper.WaitForText("Market tees")
	helper.WaitForNoText("Not for helpers")
	if n := countScopes(helper); n != 1 {
		t.Errorf("the helper's phone has facts of %d scopes, not of the one batch", n)
	}

	// Whoever may close bags may print blanks: they are numbers of its own.
	helper.Open(base + "/labels")
	helper.WaitForPages("Print blanks", "PDF")

	// Apart, both go on; the helper's clock is three hours slow.
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.WaitForInstall()
		p.AllowOffline()
	}
	h.Stop()
	helper.AdvanceClock(-3 * time.Hour)
	helper.Open(base + "/bagging")
	helper.Tap("Close bag…")
	helper.WaitForText("closed")
	owner.Open(base)
	owner.Tap("Change the name")
	owner.Fill("Name", "Market tees, June")
	owner.Tap("Save the name")
	owner.WaitForText("1 to send")
	closed := time.Now()

	h.Start()
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.Open(base)
		p.WaitForSync()
	}
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.WaitForText("Market tees, June")
		p.WaitFor("the bag with its right time", `appModule('/journal/views.js').then(async ({batchView}) => {
			const {bags} = await batchView('`+base[len("/batch/"):]+`');
			return bags.length === 1 && Math.abs(bags[0].closedAt - `+fmt.Sprint(closed.UnixMilli())+`) < 120e3;
		})`)
		p.Open(base + "/history")
		p.WaitForText("porch phone", "phone's clock was 3 h")
	}
	if o, hp := factIDs(owner, base), factIDs(helper, base); o == "" || o != hp {
		t.Errorf("the owner's phone has the facts\n%s\nthe helper's\n%s", o, hp)
	}
	owner.WaitForText("this phone")

	owner.Open("/phones")
	owner.Tap("porch phone…")
	owner.Tap("Remove this phone")
	owner.WaitForSync()
	helper.WaitForText("removed")
	helper.Open("/batches") // what it has stays on it, and what it writes now waits
	helper.WaitForText("Market tees, June")
}

// FactIDs gives the ids of all facts of a batch on the phone, in order.
func factIDs(p *phonetest.Phone, base string) string {
	p.T.Helper()
	return phonetest.Evaluate[string](p, `appModule('/journal/facts.js').then(async ({factsOfScope}) => (await factsOfScope('`+base[1:]+`')).map(f => f.id).sort().join(' '))`)
}
