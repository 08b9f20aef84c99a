//go:build unix

package main

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// pairs lets a phone in by the digits of an invitation, as a person does.
func (p *phone) pairs(digits, name string) {
	p.t.Helper()
	p.open("/join")
	p.fill("Code", digits)
	p.fill("Name of this phone", name)
	p.tap("Pair this phone")
	p.see("This phone is in")
}

// scopes gives how many batches and places there are facts of on the phone.
func (p *phone) scopes() int {
	p.t.Helper()
	return asked[int](p, `import('/journal/facts.js').then(async ({all}) => new Set((await all()).map(f => f.scope)).size)`)
}

// An owner and a helper in one batch: the helper is let in by the batch's code and
// sees that batch alone, both write while they are apart, agree when they meet, and
// the helper is out at once when it is let in no more.
func TestOwnerAndHelper(t *testing.T) {
	h := newHome(t)
	browser := trusting(t, h.authority())
	owner, helper := phoneOf(t, browser, h.secure()), phoneOf(t, browser, h.secure())

	owner.pairs(h.invite(), "kitchen phone")
	owner.open("/")
	owner.tap("New batch")
	owner.fill("Name", "Not for helpers")
	owner.tap("Start the batch")
	owner.open("/")
	owner.tap("New batch")
	owner.fill("Name", "Market tees")
	owner.tap("Start the batch")
	owner.tap("Tee, medium")
	owner.tap("Add 1 to the batch")
	owner.tap("It is washed out")
	owner.tap("Choose the colours")
	owner.tap("rust")
	owner.fill("Strength at full depth", "26 g/L")
	owner.tap("vinyl sulfone…")
	owner.tap("Add rust")
	until(t, "the colour on the hub", func() bool { return h.count("colour.chosen") == 1 })
	base := asked[string](owner, `location.pathname.split('/').slice(0, 3).join('/')`)

	owner.open(base + "/share")
	owner.tap("Let helpers in")
	address := owner.scan(".code .qr")
	until(t, "the code on the hub", func() bool { return h.count("share.opened") == 1 })

	helper.open(address[strings.Index(address, "/JOIN/"):]) // as the phone's camera opens it
	helper.fill("Name of this phone", "porch phone")
	helper.tap("Pair this phone")
	helper.see("It helps with")
	helper.tap("To the batch")
	helper.see("Market tees", "hub has all")
	helper.open("/batches")
	helper.see("Market tees")
	helper.gone("Not for helpers")
	if n := helper.scopes(); n != 1 {
		t.Errorf("the helper's phone has facts of %d scopes, not of the one batch", n)
	}

	// Whoever may close bags may print blanks: they are numbers of its own.
	helper.open(base + "/labels")
	helper.laid("Print blanks", "PDF")

	// Apart, both go on; the helper's clock is three hours slow.
	for _, p := range []*phone{owner, helper} {
		p.installed()
		p.alone()
	}
	h.stop()
	helper.later(-3 * time.Hour)
	helper.open(base + "/bagging")
	helper.tap("Close bag…")
	helper.see("closed")
	owner.open(base)
	owner.tap("Change the name")
	owner.fill("Name", "Market tees, June")
	owner.tap("Save the name")
	owner.see("1 entry waits")
	closed := time.Now()

	h.start()
	for _, p := range []*phone{owner, helper} {
		p.open(base)
		p.settled()
	}
	for _, p := range []*phone{owner, helper} {
		p.see("Market tees, June")
		p.wait("the bag with its right time", `import('/journal/views.js').then(async ({batchView}) => {
			const {bags} = await batchView('`+base[len("/batch/"):]+`');
			return bags.length === 1 && Math.abs(bags[0].closedAt - `+fmt.Sprint(closed.UnixMilli())+`) < 120e3;
		})`)
		p.open(base + "/history")
		p.see("porch phone", "clock put right by 3 h")
	}
	if o, hp := owner.factsOf(base), helper.factsOf(base); o == "" || o != hp {
		t.Errorf("the owner's phone has the facts\n%s\nthe helper's\n%s", o, hp)
	}
	owner.see("this phone")

	owner.open("/phones")
	owner.tap("porch phone…")
	owner.tap("Let it in no more")
	owner.settled()
	helper.see("let in no more")
	helper.open("/batches") // what it has stays on it, and what it writes now waits
	helper.see("Market tees, June")
}

// factsOf gives the ids of all facts of a batch on the phone, in order.
func (p *phone) factsOf(base string) string {
	p.t.Helper()
	return asked[string](p, `import('/journal/facts.js').then(async ({ofScope}) => (await ofScope('`+base[1:]+`')).map(f => f.id).sort().join(' '))`)
}
