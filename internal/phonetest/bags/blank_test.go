//go:build unix

package main

import (
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/label"
)

// blanks prints n numbered blanks of the batch at path with the numbers of this
// phone, and gives their codes by number.
func (p *phone) blanks(path string, n int) map[string]string {
	p.t.Helper()
	return asked[map[string]string](p, fmt.Sprintf(`(async () => {
		const {call} = await import('/core/core.js'), {record} = await import('/journal/journal.js'), {state} = await import('/journal/states.js'), {env} = await import('/journal/env.js');
		const scope = %q.slice(1);
		const runs = await call('blanks.draft', {state: await state(scope), env: await env(), count: %d});
		await record(runs.map(body => ({scope, kind: 'blanks.printed', body})));
		const printed = await call('batch.blanks', {state: await state(scope), env: await env()});
		return Object.fromEntries(printed.map(b => [b.number, b.code]));
	})()`, path, n))
}

// Blanks are printed before dyeing. With the program stopped a bag is closed with the
// number that is typed from one; a number that is taken, or none, is told at once;
// another is tied to the bag afterwards, and taken back. The code of a blank leads to
// its bag.
func TestBlankByItsNumber(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	p.open(batch + "/bagging")
	p.see("Close bag 1") // it has numbers
	codes := p.blanks(batch, 4)
	p.settled()
	p.installed()
	p.alone()
	h.stop()

	p.open(batch + "/bagging")
	p.see("4 numbered blanks are free: 1–4", "Close bag 5")
	p.fill("Number on the label", "7")
	p.see("No blank 7 was printed for this batch")
	p.gone("Close bag 5") // not by another number than the label's
	p.tap("No blank: bag 5")
	p.see("Close bag 5")
	p.fill("Number on the label", "3")
	p.see("Bag 3")
	p.audit("bagging with a blank")
	p.tap("Close bag 3")
	p.see("Bag 3 closed", "3 numbered blanks are free: 1–2, 4")
	p.fill("Number on the label", "3")
	p.see("Blank 3 hangs on bag 3 already")

	p.open("/b/" + codes["3"])
	p.wait("the bag", `location.pathname.startsWith('/bag/')`)
	p.see("Bag 3")
	bag := asked[string](p, `location.pathname`)
	p.tap("Tie a blank on")
	p.fill("Number on the label", "4")
	p.tap("Tie it on")
	p.see("Blank 4 tied to bag 3", "The label tied on reads 4")
	p.audit("a bag with two labels")
	p.tap("Into another bag")
	p.fill("Of 3 napkins, wedge: 1 in this bag", "1")
	p.see("Close bag 5 with it")
	p.fill("Number on the label", "77")
	p.see("No blank 77 was printed for this batch", "No blank: bag 5")
	p.gone("Close bag 5 with it") // nor is it put into a bag of another number
	p.open("/b/" + strings.ToLower(codes["4"]))
	p.wait("the bag", fmt.Sprintf(`location.pathname === %q`, bag))
	p.see("Bag 3")

	// Its number, typed, leads there too.
	p.open("/scan")
	p.tap("1")
	p.tap("Show")
	p.see("Blank 1", "Dye and bag with it")

	// One that is free says so, and leads to bagging with its number filled in.
	p.open("/b/" + codes["1"])
	p.see("Blank 1")
	p.audit("a free blank")
	p.tap("Dye and bag with it")
	p.see("Close bag 1")
	p.tap("Close bag 1")
	p.see("Bag 1 closed", "1 numbered blank is free: 2")
	p.tap("Undo")
	p.see("Taken back", "2 numbered blanks are free: 1–2")
	p.allow("ERR_INTERNET_DISCONNECTED")
}

// The tag of a piece names the piece before it is bagged and leads to its bag after
// that; a phone that knows nothing of the batch says what it is.
func TestTagOfAPiece(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	code := asked[string](p, fmt.Sprintf(`(async () => {
		const {call} = await import('/core/core.js'), {record} = await import('/journal/journal.js'), {state} = await import('/journal/states.js'), {env} = await import('/journal/env.js');
		const scope = %q.slice(1), [piece] = (await state(scope)).pieces;
		await record([{scope, subject: piece.id, kind: 'piece.tagged', body: {from: 901, to: 903}}]);
		return (await call('batch.blanks', {state: await state(scope), tags: true, env: await env()}))[1].code;
	})()`, batch))
	p.open("/b/" + code)
	p.see("Tag 902", "Napkin, wedge, in no bag yet")
	p.audit("the tag of a piece")
	p.open(batch + "/bagging")
	p.tap("Close bag 904")
	p.see("Bag 904 closed")
	p.open("/b/" + code)
	p.wait("the bag", `location.pathname.startsWith('/bag/')`)
	p.open(batch + "/bagging") // one napkin of the three is in a bag, and now a second
	p.tap("Close bag 905")
	p.see("Bag 905 closed")
	p.open("/b/" + code)
	p.see("Tag 902", "Napkin, wedge, in one of these bags", "904", "905")
	p.audit("the tag of one of several pieces")
	stranger, err := label.Encode(label.Label{Number: 5, Blank: true, Tag: true, Token: label.Token{7}})
	if err != nil {
		t.Fatal(err)
	}
	p.allow("the server responded with a status of 404")
	p.open("/b/" + stranger)
	p.see("Tag 5", "The tag of a piece of a batch that is not known here")
}
