//go:build unix

package bags_test

import (
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/label"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// Blanks are printed before dyeing. With the program stopped a bag is closed with the
// number that is typed from one; a number that is taken, or none, is told at once;
// another is tied to the bag afterwards, and taken back. The code of a blank leads to
// its bag.
func TestBlankByItsNumber(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	p.WaitForText("Close bag 1") // it has numbers
	codes := p.RecordBlanks(batch, 4)
	p.WaitForSync()
	p.WaitForInstall()
	p.AllowNetworkErrors()
	h.Stop()

	p.Open(batch + "/bagging")
	p.WaitForText("4 numbered blanks are free: 1–4", "Close bag 1") // the next free one is offered
	p.Tap("Use a label other than 1")
	p.Fill("Number on the label", "7")
	p.WaitForText("No blank 7 was printed for this batch")
	p.WaitForNoText("Close bag 1") // not by another number than the label's
	p.Tap("No blank: bag 5")
	p.WaitForText("Close bag 1")
	p.Fill("Number on the label", "3")
	p.WaitForText("Bag 3")
	p.Audit("bagging with a blank")
	p.Tap("Close bag 3")
	p.WaitForText("Bag 3 closed", "3 numbered blanks are free: 1–2, 4")
	p.WaitForRest()
	p.Fill("Number on the label", "3")
	p.WaitForText("Label 3 is already on bag 3")

	p.GoTo("/b/" + codes["3"])
	p.WaitFor("the bag", `location.pathname.startsWith('/bag/')`)
	p.WaitForText("Bag 3")
	bag := phonetest.Evaluate[string](p, `location.pathname`)
	p.Tap("Attach a label")
	p.Fill("Number on the label", "4")
	p.Tap("Attach")
	p.WaitForText("Label 4 attached to bag 3", "The label on it reads 4")
	p.Audit("a bag with two labels")
	p.Tap("Rebag")
	p.Fill("Of 3 napkins, wedge: 1 in this bag", "1")
	p.WaitForText("Close bag 5 with it")
	p.Fill("Number on the label", "77")
	p.WaitForText("No blank 77 was printed for this batch", "No blank: bag 5")
	p.WaitForNoText("Close bag 5 with it") // nor is it put into a bag of another number
	p.GoTo("/b/" + strings.ToLower(codes["4"]))
	p.WaitFor("the bag", fmt.Sprintf(`location.pathname === %q`, bag))
	p.WaitForText("Bag 3")

	// Its number, typed, leads there too.
	p.GoTo("/scan")
	p.Tap("1")
	p.Tap("Show")
	p.WaitForText("Blank 1", "Use it for the next bag")

	// One that is free says so, and leads to bagging with its number filled in.
	p.GoTo("/b/" + codes["1"])
	p.WaitForText("Blank 1")
	p.Audit("a free blank")
	p.Tap("Use it for the next bag")
	p.WaitForText("Close bag 1")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed", "1 numbered blank is free: 2")
	p.Tap("Undo")
	p.WaitForText("Undone", "2 numbered blanks are free: 1–2")
	p.AllowError("ERR_INTERNET_DISCONNECTED")
}

// The tag of a piece names the piece before it is bagged and leads to its bag after
// that; a phone that knows nothing of the batch says what it is.
func TestTagOfAPiece(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p, batch := phonetest.StartPlanned(t)
	code := phonetest.Evaluate[string](p, fmt.Sprintf(`(async () => {
		const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js'), {loadState} = await appModule('/journal/states.js'), {coreEnv} = await appModule('/journal/env.js');
		const scope = %q.slice(1), [piece] = (await loadState(scope)).pieces;
		await record([{scope, subject: piece.id, kind: 'piece.tagged', body: {from: 901, to: 903}}]);
		return (await call('blanks.view', {state: await loadState(scope), tags: true, env: await coreEnv()}))[1].code;
	})()`, batch))
	p.GoTo("/b/" + code)
	p.WaitForText("Tag 902", "Napkin, wedge, in no bag yet")
	p.Audit("the tag of a piece")
	closeNext := func() (number string) { // by what the hub has leased so far
		p.GoTo(batch + "/bagging")
		const offered = `[...document.querySelectorAll('button')].map(b => /Close bag (\d+)/.exec(b.textContent)?.[1]).find(Boolean)`
		p.WaitFor("a number", offered)
		number = phonetest.Evaluate[string](p, offered)
		p.Tap("Close bag " + number)
		p.WaitForText("Bag " + number + " closed")
		p.GoTo("/b/" + code)
		return number
	}
	first := closeNext()
	p.WaitFor("the bag", `location.pathname.startsWith('/bag/')`)
	second := closeNext() // one napkin of the three is in a bag, and now a second
	p.WaitForText("Tag 902", "Napkin, wedge, in one of these bags", first, second)
	p.Audit("the tag of one of several pieces")
	stranger, err := label.Encode(label.Label{Number: 5, IsBlank: true, IsPieceTag: true, Token: label.Token{7}})
	if err != nil {
		t.Fatal(err)
	}
	p.AllowError("the server responded with a status of 404")
	p.GoTo("/b/" + stranger)
	p.WaitForText("Tag 5", "The tag of a piece; its batch is not known here")
}
