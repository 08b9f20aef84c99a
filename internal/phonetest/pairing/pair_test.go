//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// restoring keeps the journal as it is now, and gives what puts it back: the
// program then knows nothing of what came between.
func (h *house) restoring() (restore func()) {
	h.t.Helper()
	h.stop()
	file := filepath.Join(h.data, journalFile)
	old, err := os.ReadFile(file)
	if err != nil {
		h.t.Fatal(err)
	}
	h.start()
	return func() {
		h.t.Helper()
		h.stop()
		if err := os.WriteFile(file, old, 0o600); err != nil {
			h.t.Fatal(err)
		}
		h.start()
	}
}

// begins starts a batch and gives its path.
func (p *phone) begins(name string) string {
	p.t.Helper()
	p.open("/")
	p.tap("New batch")
	p.fill("Name", name)
	p.tap("Start the batch")
	p.see("Batch started")
	return asked[string](p, `location.pathname.split('/').slice(0, 3).join('/')`)
}

// audits looks at a page as the phone's owner may have it: light, dark, and on a
// small phone at twice the size of text.
func (p *phone) audits(path, see string, sheets ...string) {
	p.t.Helper()
	for _, d := range []struct {
		scheme              string
		width, height, text int64
	}{{"light", 390, 844, 16}, {"dark", 390, 844, 16}, {"light", 360, 640, 32}} {
		p.dress(d.scheme, d.width, d.height, d.text)
		p.open(path)
		p.see(see)
		p.audit(path + ", " + d.scheme)
		for _, s := range sheets {
			p.open(path)
			p.tap(s)
			p.wait("the sheet", `document.querySelector('dialog[open]')`)
			p.audit(path + ", " + s)
		}
	}
	p.dress("light", 390, 844, 16)
}

// A stranger keeps what it writes until it is let in. Who keeps the house names
// phones, lets one out and in again, and decides on what it sent meanwhile.
func TestPhonesOfTheHouse(t *testing.T) {
	h := newHome(t)
	browser := trusting(t, h.authority())
	mine, lent := phoneOf(t, browser, h.secure()), phoneOf(t, browser, h.secure())
	mine.allow(`the server responded with a status of 40[13]`) // a wrong code
	lent.allow(`the server responded with a status of 40[13]`) // let in no more

	mine.begins("Before it was in")
	mine.see("not paired · 1 entry waits")
	mine.audits("/", "This phone is not paired")
	mine.audits("/phone", "What you write stays here until it is")
	mine.audits("/join", "An invitation makes this a phone of the house")
	mine.open("/join")
	mine.fill("Code", "0000 0001")
	mine.tap("Pair this phone")
	mine.see("That code lets nobody in")
	mine.pairs(h.invite(), "kitchen phone")
	mine.settled()
	until(t, "the batch on the hub", func() bool { return h.count("batch.started") == 1 })

	lent.pairs(h.invite(), "phone")
	lent.settled()
	lent.open("/batches")
	lent.see("Before it was in")
	mine.open("/phones")
	mine.see("kitchen phone", "this phone")
	mine.audits("/phones", "kitchen phone", "Add a phone", "kitchen phone…")
	mine.open("/phones")
	mine.tap("phone letter B…")
	mine.fill("Name", "attic phone")
	mine.tap("Save the name")
	mine.see("It is called attic phone")
	mine.tap("attic phone…")
	mine.tap("Let it in no more")
	mine.see("attic phone is let in no more")
	mine.settled()

	lent.see("let in no more")
	lent.begins("Written in the attic")
	lent.open("/phone")
	lent.see("waits for the owner")
	lent.audits("/phone", "waits for the owner")
	mine.audits("/phones", "1 entry waits for you")
	mine.open("/phones")
	mine.tap("attic phone…")
	mine.tap("Look at them")
	mine.see("A batch begins")
	mine.audit("what waits")
	mine.tap("Leave them out")
	mine.tap("1 entry was left out…")
	mine.tap("Take them in")
	mine.gone("Take them in")
	mine.tap("Let it in again")
	mine.see("Taken back")
	mine.open("/batches")
	mine.see("Written in the attic")
	lent.open("/")
	lent.settled()
}

// A code is drawn out of reach, and says that it is good for nothing yet. What the
// hub does not take of a helper is shown, and sent again by a phone of the house.
func TestShareIsDrawnOffline(t *testing.T) {
	h := newHome(t)
	browser := trusting(t, h.authority())
	mine, helper := phoneOf(t, browser, h.secure()), phoneOf(t, browser, h.secure())
	mine.pairs(h.invite(), "kitchen phone")
	base := mine.begins("Market tees")
	mine.settled()
	mine.installed()
	mine.alone()
	helper.alone()
	h.stop()
	mine.open(base + "/share")
	mine.tap("Let helpers in")
	mine.see("The helper can join once this phone has reached the hub")
	mine.audits(base+"/share", "The helper can join once")
	code := asked[string](mine, `document.querySelector('.code .typed b').innerText`)
	h.start()
	mine.open(base + "/share")
	mine.see("Good for any number of phones")
	mine.tap("Close the sharing")
	mine.see("Sharing is closed")
	mine.gone("Good for any number of phones")
	mine.tap("Undo")
	mine.see("Good for any number of phones")
	mine.settled()

	helper.open("/join")
	helper.fill("Code", strings.ToLower(strings.ReplaceAll(code, "-", " ")))
	helper.fill("Name of this phone", "porch phone")
	helper.tap("Pair this phone")
	helper.tap("To the batch")
	helper.settled()
	for _, path := range []string{"/", "/batches", "/shelf", base, base + "/history", base + "/share", "/phone", "/join", "/phones"} {
		helper.open(path)
		helper.gone("New batch")
		helper.gone("New place")
		helper.audit("a helper's " + path)
	}
	asked[bool](helper, `Promise.all([import('/core/core.js'), import('/journal/journal.js')]).then(async ([{call}, {record}]) => {
		const [id] = await call('id.new', {n: 1});
		await record([{scope: 'place/' + id, subject: id, kind: 'place.named', body: {name: 'their porch'}}]);
		return true;
	})`)
	helper.open("/phone")
	helper.see("Not taken by the hub", "Place named")
	helper.audits("/phone", "Not taken by the hub")
	mine.open(base + "/share")
	mine.see("porch phone")
	mine.audits(base+"/share", "porch phone")

	helper.open("/phone")
	helper.tap("Helper…")
	helper.fill("Code", h.invite())
	helper.tap("Pair this phone")
	helper.see("It is a phone of the house")
	until(t, "the place on the hub", func() bool { return h.count("place.named") == 1 })
	helper.open("/phone")
	helper.settled()
	helper.gone("Not taken by the hub")
}

// The program was put back from an old copy, which knows neither the phone nor
// what it wrote: it is paired again, and sends all of it.
func TestPhoneIsPairedAgain(t *testing.T) {
	h := newHome(t)
	restore := h.restoring()
	p := phoneOf(t, trusting(t, h.authority()), h.secure())
	p.pairs(h.invite(), "kitchen phone")
	p.begins("Market tees")
	until(t, "the batch on the hub", func() bool { return h.count("batch.started") == 1 })
	p.alone()

	restore()
	p.open("/")
	p.see("pair again", "The hub does not know this phone any more")
	p.begins("Written by a stranger")
	p.see("pair again · 1 entry waits")
	p.audits("/phone", "Nothing is lost")
	p.open("/phone")
	p.tap("Pair this phone again")
	p.see("all that is here is sent")
	p.fill("Code", h.invite())
	p.tap("Pair this phone")
	p.see("This phone is in")
	until(t, "both batches on the hub", func() bool { return h.count("batch.started") == 2 })
	p.settled()
	p.open("/batches")
	p.see("Market tees", "Written by a stranger")
}
