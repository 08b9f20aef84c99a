//go:build unix

package bags_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"

	"github.com/chromedp/chromedp"
)

// recordLargePlan records a batch of 24 pieces in 6 colours, a blend and a silk among them, and a shed,
// and gives the path of the batch.
const recordLargePlan = `(async () => {
	const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js');
	const [id, secret, place, ...c] = await call('id.new', {n: 9});
	const scope = 'batch/' + id, names = ['deep yellow', 'rust', 'leaf green', 'blue', 'violet', 'black'];
	const rgb = ['#e9a21b', '#b5372a', '#3d6b35', '#1f4e9c', '#6b3f8c', '#22242a'];
	await record([{scope: 'place/' + place, subject: place, kind: 'place.named', body: {name: 'shed'}},
		{scope: 'place/' + place, subject: place, kind: 'place.read', body: {celsius: 21}}]);
	await record([{scope, subject: id, kind: 'batch.started', body: {name: 'Street fair', secret}}]);
	const colours = [];
	for (let i = 0; i < 6; i++) {
		const {caps} = await call('caps.choose', {name: names[i], taken: colours.map(x => x.caps)});
		colours.push({caps});
		await record([{scope, subject: c[i], kind: 'colour.chosen', body: {name: names[i], caps, rgb: rgb[i], class: 'dichlorotriazine', strength: 40, depth: 1}}]);
	}
	const wear = (...list) => list.map(i => ({colour: c[i], share: 1 / list.length}));
	await record([{scope, kind: 'piece.added', body: {kind: 'napkin', count: 6, grams: 40, fibre: 'cotton', fold: 'wedge', colours: wear(3, 5)}},
		{scope, kind: 'piece.added', body: {kind: 'tee-m', count: 8, grams: 150, fibre: 'cotton', share: 0.6, fold: 'spiral', colours: wear(0, 1, 2),
			blend: [{fibre: 'cotton', share: 0.6}, {fibre: 'polyester', share: 0.4}]}},
		{scope, kind: 'piece.added', body: {kind: 'pillowcase', count: 9, grams: 145, fibre: 'cotton', fold: 'stripes', colours: wear(0, 1, 2, 3)}},
		{scope, kind: 'piece.added', body: {kind: 'scarf', count: 1, grams: 60, fibre: 'silk', fold: 'crumple', colours: wear(4)}}]);
	return '/batch/' + id;
})()`

// picture writes the screen as a picture where COLDBATCH_LOOK names a folder.
func picture(p *phonetest.Phone, name string) {
	dir := os.Getenv("COLDBATCH_LOOK")
	if dir == "" {
		return
	}
	time.Sleep(300 * time.Millisecond)
	b, err := chromedp.Run(p.Ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), b, 0o644)
	}
	if err != nil {
		p.T.Error(err)
	}
}

// What the hand has to do for 24 bags, counted: from the second on a bag takes at most two taps and no
// typing, a silk one asks; rinsing them all takes at most 15 taps, and its undo is one; a
// temperature takes at most three.
func TestTapsForTwentyFourBags(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p := phonetest.Start(t)
	path := phonetest.Evaluate[string](p, recordLargePlan)
	p.SetAppearance("light", 360, 640, 16)
	p.GoTo(path + "/bagging")
	p.WaitForText("close bag 1")
	picture(p, "bagging-1")
	if place := phonetest.Evaluate[int](p, `document.querySelectorAll('input[name*=":"]:checked, .picks input[type=radio][name]:checked').length`); place > 1 {
		t.Errorf("a place is chosen before anybody chose one")
	}
	p.Tap("shed…")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed", "close bag 2")
	picture(p, "bagging-2")
	closed := func() int { return len(p.RecordedBodies(path, journal.KindBagClosed)) }
	for n := 2; n <= 24; n = closed() + 1 {
		taps, typed := p.Taps, p.Typed
		if n == 10 {
			p.Tap("Same for the next 5")
			p.WaitForText("Bags 10 to 14 closed")
		} else {
			p.Tap(fmt.Sprintf("Close bag %d", n))
			p.WaitFor("the answer", `document.querySelector('.question') || !document.querySelector('.button')?.disabled`)
			p.WaitForRest()
			if phonetest.Evaluate[bool](p, `Boolean(document.querySelector('.question'))`) {
				p.WaitForText("not for silk")
				picture(p, "silk")
				p.Tap("Yes, go on")
			}
			p.WaitForText(fmt.Sprintf("Bag %d closed", n))
		}
		if p.Taps-taps > 2 || p.Typed > typed {
			t.Errorf("bag %d took %d taps and %d typed values", n, p.Taps-taps, p.Typed-typed)
		}
		if closed() < n {
			t.Fatalf("bag %d is not closed", n)
		}
	}
	p.WaitForText("Every piece is in a bag")
	for i, body := range p.RecordedBodies(path, journal.KindBagClosed) {
		if body["place"] == "" || body["place"] == nil || len(body["colours"].([]any)) == 0 {
			t.Errorf("bag %d has no place or no colours: %v", i+1, body)
		}
	}
	p.GoTo(path)
	p.WaitForText("silk")
	p.Scroll(`document.querySelector('.tags').scrollIntoView()`)
	picture(p, "batch-many")
	p.WaitForSync()
	p.WaitForInstall()
	p.AllowNetworkErrors()
	h.Stop()

	p.AdvanceClock(80 * time.Hour)
	p.Open("/")
	p.WaitForText("While the app was closed")
	p.WaitFor("the alarm to take a tap", `document.querySelector('dialog[open] .button')?.getAttribute('aria-disabled') !== 'true'`)
	p.Tap("OK") // the alarm that rang meanwhile
	p.WaitFor("the alarm to close", `!document.querySelector('dialog[open]')`)
	p.WaitForText("Several bags at once")
	picture(p, "today-many")
	p.SetAppearance("dark", 390, 844, 16)
	picture(p, "today-many-dark")
	taps := p.Taps
	p.Tap("Several bags at once…")
	p.Tap("Ready to rinse (24)")
	p.WaitForText("24 bags")
	picture(p, "many-bags-dark")
	p.Tap("Open 24")
	p.WaitForText("24 bags opened")
	p.Tap("Undo")
	p.WaitForText("Undone")
	if n := len(p.RecordedBodies(path, journal.KindBagOpened)); n != 0 {
		t.Errorf("after one undo %d bags are open", n)
	}
	p.Tap("Open 24")
	p.Tap("Mark rinsed 24")
	p.Tap("Mark washed and dry 24")
	p.WaitForText("24 bags washed and dry")
	if p.Taps-taps > 15 {
		t.Errorf("rinsing 24 bags took %d taps", p.Taps-taps)
	}
	t.Logf("rinsing 24 bags, with one undo, took %d taps", p.Taps-taps)
	for _, kind := range []string{journal.KindBagOpened, journal.KindBagRinsed, journal.KindBagDone} {
		if n := len(p.RecordedBodies(path, kind)); n != 24 {
			t.Errorf("%d bags have %s", n, kind)
		}
	}

	p.GoTo("/")
	taps = p.Taps
	p.Tap("shed…")
	p.Tap("A thermometer there shows: warmer")
	p.Tap("It is…")
	p.WaitForText("°C saved")
	if p.Taps-taps > 3 {
		t.Errorf("a temperature took %d taps", p.Taps-taps)
	}
}

// Powder that is open shows on every screen until it is closed, what is weighed ten times too much is
// asked about, and what became of a weighing is seen.
func TestMixingWithPowderOpen(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p := phonetest.Start(t)
	path := phonetest.Evaluate[string](p, recordLargePlan)
	p.SetAppearance("light", 360, 640, 16)
	p.GoTo(path + "/jugs")
	p.WaitForText("weigh")
	p.Tap("Open powder")
	p.WaitForText("others out")
	p.WaitForRest()
	p.HideToasts()
	p.Scroll("scrollTo(0, 0)")
	picture(p, "jug")
	if bottom := phonetest.Evaluate[float64](p, `Math.max(...[...document.querySelectorAll('.pad button, .reading, .bottle-cap')].map(e => e.getBoundingClientRect().bottom)) - document.querySelector('.foot').getBoundingClientRect().top`); bottom > 0 {
		t.Errorf("cap, reading and keys end %.0f px below the fold of a phone of 360 × 640", bottom)
	}
	p.GoTo("/sums")
	p.WaitForText("dye powder is open", "on this phone")
	picture(p, "powder-open")
	p.GoTo(path + "/jugs")
	p.Tap("Close powder")
	p.WaitForNoText("others out")
	p.Fill("The scale shows", "999")
	p.Tap("Mixed, made up to…")
	p.WaitForText("what it needs")
	picture(p, "ten-times")
	p.Tap("No, go back")
	if n := len(p.RecordedBodies(path, journal.KindJugMixed)); n != 0 {
		t.Errorf("%d jugs were mixed though nobody was sure", n)
	}
	p.Reload()
	p.WaitFor("what was typed to come back", `document.querySelector('.reading input')?.value === '999'`)

	p.GoTo(path + "/soak")
	p.WaitForText("soda ash, anhydrous", "it harms silk")
	p.Tap("It is mixed")
	p.Tap("The pieces are in")
	p.WaitForText("must not go into the soda ash")
	picture(p, "silk-soak")
	p.Tap("Yes, go on")
	p.WaitForText("all pieces, since")
	picture(p, "soak")
	p.Tap("Out, and wrung")
	p.WaitForText("less than a minute")
	p.Tap("No, go back")
	p.Tap("clear to the bottom")
	p.WaitFor("it to be recorded", `appModule('/journal/facts.js').then(async m => (await m.allFacts()).some(f => f.kind === 'soak.dissolved'))`)
}
