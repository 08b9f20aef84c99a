//go:build unix

package main

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// With the program stopped or hanging the phone goes on: labels, open batches
// and sums open, a bag is closed, and that bag is on the program when it is back.
func TestPhoneGoesOnAlone(t *testing.T) {
	for _, way := range []struct {
		name       string
		gone, back func(*house)
	}{
		{"stopped", (*house).stop, (*house).start},
		{"hanging", (*house).hang, (*house).wake},
	} {
		t.Run(way.name, func(t *testing.T) {
			h := newHouse(t)
			p := newPhone(t, h.url())
			p.open("/")
			batch := p.plan("Picnic cloths")
			p.open(batch + "/bagging")
			p.tap("Close bag 1")
			p.tap("Label of bag 1")
			label := path(t, p.scan("dialog .qr"))
			p.settled()
			p.installed()

			p.alone()
			way.gone(h)
			p.open(label)
			p.see("Bag 1", "keep wet and warm")
			p.open(strings.ToLower(label))
			p.see("Bag 1", "keep wet and warm")
			p.open(batch)
			p.see("Picnic cloths", "1 bag")
			p.open("/")
			p.see("Picnic cloths", "keep wet and warm")
			p.open("/sums/bottle")
			p.fill("Strength", "6.2 g per 8 fl oz")
			p.fill("Volume in each bottle", "2 fl oz")
			p.see("1.55 g")
			p.open(batch + "/bagging")
			p.tap("Close bag 2")
			p.see("Bag 2 closed", "1 entry waits")
			p.reload()
			p.see("Bag 3", "1 entry waits")

			way.back(h)
			until(t, "bag 2 on the program", func() bool { return h.count("bag.closed") == 2 })
			p.settled()
		})
	}
}

// A phone that never saw the batch opens its label: with the program there it
// shows how the bag stands now, without it what the label itself says.
func TestLabelOnAPhoneThatNeverSawTheBatch(t *testing.T) {
	h := newHouse(t)
	stranger := newPhone(t, h.url())
	stranger.apart()
	stranger.open("/scan")
	stranger.installed()

	p := newPhone(t, h.url())
	p.open("/")
	p.open(p.plan("Picnic cloths") + "/bagging")
	p.tap("Close bag 1")
	p.tap("Label of bag 1")
	label := path(t, p.scan("dialog .qr"))
	p.tap("Close")
	p.tap("I had a look")
	p.settled()

	for _, code := range []string{label, strings.ToLower(label)} {
		stranger.open(code)
		stranger.see("As the hub has it now", "keep wet and warm", "about")
	}
	p.alone()
	stranger.alone()
	h.stop()
	for _, code := range []string{label, strings.ToLower(label)} {
		stranger.open(code)
		stranger.see("As printed on the label", "keep wet and warm", "RU", "about")
	}
	stranger.open("/b/XYZ")
	stranger.see("Not a bag’s code")
}

// plan writes what comes before the bags, as the screens would, and gives the
// path of the batch: two cloths, one colour, and a shed of 21 °C.
func (p *phone) plan(name string) string {
	p.t.Helper()
	return asked[string](p, fmt.Sprintf(`(async () => {
		const {call} = await import('/core/core.js'), {record} = await import('/journal/journal.js');
		const [id, secret, place] = await call('id.new', {n: 3});
		const scope = 'batch/' + id;
		await record([{scope: 'place/' + place, subject: place, kind: 'place.named', body: {name: 'shed'}},
			{scope: 'place/' + place, subject: place, kind: 'place.read', body: {celsius: 21}}]);
		await record([{scope, subject: id, kind: 'batch.started', body: {name: %q, secret}},
			{scope, kind: 'piece.added', body: {kind: 'napkin', count: 3, grams: 40, assumed: true, fibre: 'cotton', fold: 'wedge'}},
			{scope, kind: 'colour.chosen', body: {name: 'rust', caps: 'RU', rgb: '#a8502a', class: 'dichlorotriazine', strength: 26.2, depth: 1}}]);
		return '/batch/' + id;
	})()`, name))
}

// apart keeps the phone's journal from the program's: it is in the house, and no
// phone of the batch.
func (p *phone) apart() {
	p.t.Helper()
	p.allow(`ERR_BLOCKED_BY_CLIENT|exchange`)
	p.call(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, network.SetBlockedURLs, network.SetBlockedURLsParams{URLPatterns: []*network.BlockPattern{{URLPattern: "*://*:*/api/v1/exchange", Block: true}}})
		return err
	})
}
