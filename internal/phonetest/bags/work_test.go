//go:build unix

package bags_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"

	"github.com/chromedp/chromedp"
)

// recordLargePlan records a batch of 24 pieces in 6 colours, a silk among them, and a shed, and gives
// the path of the batch.
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
		{scope, kind: 'piece.added', body: {kind: 'tee-m', count: 8, grams: 150, fibre: 'cotton', fold: 'spiral', colours: wear(0, 1, 2)}},
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
