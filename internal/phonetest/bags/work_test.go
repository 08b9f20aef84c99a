//go:build unix

package bags_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"coldbatch/internal/shelf"

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

// An owner and a helper play a batch from the plan to the washed pieces: 24 pieces, 6 colours, a blend and a silk;
// the helper's phone is cut off for the middle third of the bags. The figures on both screens are those of the core
// as this machine runs it. Counted is what the hand has to do: from the second on a bag takes at most two taps and
// no typing, also where a silk one asks; rinsing them all at most 15 taps, and its undo is one; a temperature three.
func TestTwentyFourBagsByTwoPhones(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	owner, helper := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())
	owner.Pair(h.Invite(), "kitchen phone")
	path := phonetest.Evaluate[string](owner, recordLargePlan)
	s := &twoPhones{T: t, hub: h, owner: owner, helper: helper, path: path}
	owner.SetAppearance("light", 360, 640, 16)
	s.join()
	s.checkPlan()
	s.mix()
	s.measureBottle()
	s.closeBags()
	s.checkAgreement()
	s.finish()
}

// twoPhones is the story of one batch on two phones.
type twoPhones struct {
	*testing.T
	hub           *hubtest.Hub
	owner, helper *phonetest.Phone
	path          string // of the batch
	most          int    // taps that one bag took
}

// join lets the helper in by the batch's code.
func (s *twoPhones) join() {
	s.owner.GoTo(s.path + "/share")
	s.owner.Tap("Share with helpers")
	s.owner.WaitForText("Valid for any number of phones")
	code := phonetest.Evaluate[string](s.owner, `document.querySelector('.join-code .to-type b').innerText`)
	s.helper.Open("/join")
	s.helper.Fill("Code", code)
	s.helper.Fill("Name of this phone", "porch phone")
	s.helper.Tap("Pair this phone")
	s.helper.WaitForText("It helps with")
	s.helper.Tap("Go to the batch")
	s.helper.WaitForText("Street fair", "synced")
	s.helper.SetAppearance("dark", 360, 640, 16)
	s.owner.WaitForSync()
}

// core gives what the core makes of the facts that the program has, with the settings of a phone.
func (s *twoPhones) core(p *phonetest.Phone) (batch.State, batchview.ViewEnv) {
	s.Helper()
	facts := s.hub.Facts()
	own := slices.DeleteFunc(slices.Clone(facts), func(f journal.Fact) bool { return f.Scope != journal.Scope(s.path[1:]) })
	e := phonetest.Evaluate[batchview.ViewEnv](p, `appModule('/journal/env.js').then(m => m.coreEnv())`)
	return batch.Build(own), e
}

// checkShown waits until the screen shows all figures.
func (s *twoPhones) checkShown(p *phonetest.Phone, figures ...string) {
	s.Helper()
	for _, figure := range figures {
		if figure != "" {
			p.WaitForText(figure)
		}
	}
}

// checkPlan compares the page of the plan with the core.
func (s *twoPhones) checkPlan() {
	state, e := s.core(s.owner)
	v := batchview.ViewPlan(state, shelf.Build(s.hub.Facts()), nil, e)
	if len(v.Jugs) != 6 || !strings.HasPrefix(v.Pieces, "24 pieces") || len(v.Rows) < 3 {
		s.Fatalf("the plan is %+v", v)
	}
	s.owner.GoTo(s.path + "/plan")
	s.checkShown(s.owner, v.Pieces, v.DyeTotal)
	for _, j := range v.Jugs {
		s.checkShown(s.owner, j.Colour.Name+": "+j.Powder+" in "+j.Volume, j.Need, j.Bottles)
	}
	for _, r := range v.Rows {
		s.checkShown(s.owner, r.Text, r.Detail)
	}
	for _, note := range v.Notes { // the blend and the silk
		s.checkShown(s.owner, note)
	}
	picture(s.owner, "plan")
}

// mix mixes all jugs as planned, the powder open meanwhile; the helper's phone says so.
func (s *twoPhones) mix() {
	state, e := s.core(s.owner)
	v := batchview.ViewBatch(state, e)
	s.owner.GoTo(s.path + "/jugs")
	s.owner.WaitForText("weigh")
	s.owner.Tap("Open powder")
	s.owner.WaitForText("others out")
	s.helper.WaitForText("dye powder is open", "another phone")
	taps := s.owner.Taps
	for i, j := range v.Jugs {
		s.checkShown(s.owner, fmt.Sprintf("jug %d of 6: weigh %s", i+1, j.Powder))
		s.owner.WaitForRest()
		s.owner.Tap("Mixed, made up to " + j.Volume)
		s.owner.WaitForText("jug of " + j.Colour.Name + " mixed")
		s.owner.CheckFocus("after a jug")
	}
	s.owner.Tap("Close powder")
	s.owner.WaitForText("All jugs are mixed")
	s.Logf("mixing 6 jugs took %d taps", s.owner.Taps-taps)
	s.owner.WaitForSync()
	for _, body := range s.owner.RecordedBodies(s.path, journal.KindJugMixed) {
		if body["powder"] == 0.0 {
			s.Errorf("a jug has no powder: %v", body)
		}
	}
	// A bottle is filled from the first; what is left is said.
	first := v.Jugs[0]
	s.owner.Tap(first.Colour.Name + "…")
	s.owner.WaitForText("in the jug", "mixed just now")
	s.owner.Tap("Fill bottles with another amount")
	s.owner.Fill("Into each bottle", "100 mL")
	s.owner.Tap("Filled")
	s.owner.WaitForText("1 bottle filled")
	s.owner.WaitForSync()
	state, e = s.core(s.owner)
	s.checkShown(s.owner, batchview.ViewBatch(state, e).Jugs[0].Left)
	picture(s.owner, "jug-filled")
}

// measureBottle has the helper measure the squeeze bottle on the way from the queue's card.
func (s *twoPhones) measureBottle() {
	p := s.helper
	p.GoTo(s.path + "/bagging")
	p.WaitForText("close bag")
	p.Tap("Squeeze bottle…")
	p.WaitForText("20 times into a measuring jug")
	p.Tap("6")
	p.Tap("0")
	p.WaitForText("That is 3 mL a squeeze")
	picture(p, "squeeze")
	p.Tap("Save")
	p.WaitForText("One squeeze gives 3 mL", "close bag")
	state, e := s.core(p)
	for _, c := range batchview.ViewBatch(state, e).Queue[0].Colours {
		s.checkShown(p, c.Amount, c.Squeeze)
		if !strings.Contains(c.Squeeze, "a side") {
			s.Errorf("%s is not counted in squeezes", c.Name)
		}
	}
}

// closeNext closes the next bag of a phone and gives how many were closed by then on it.
func (s *twoPhones) closeNext(p *phonetest.Phone, isFirst bool) {
	s.Helper()
	taps, typed := p.Taps, p.Typed
	p.WaitForText("close bag")
	before := len(p.RecordedBodies(s.path, journal.KindBagClosed))
	if isFirst {
		p.Tap("shed…")
	}
	p.Tap("Close bag…")
	p.WaitFor("the answer", `document.querySelector('.question') || document.querySelector('.toast')`)
	p.WaitForRest()
	if phonetest.Evaluate[bool](p, `Boolean(document.querySelector('.question'))`) {
		p.WaitForText("not for silk")
		p.CheckFocus("at a question")
		picture(p, "silk")
		p.Tap("Yes, go on")
		p.WaitForRest()
	}
	p.WaitFor("the bag", fmt.Sprintf(`appModule('/journal/views.js').then(async m => (await m.batchView(%q)).bags.length > %d)`, s.path[len("/batch/"):], before))
	p.CheckFocus("after a bag")
	if n := p.Taps - taps; n > 2 || p.Typed > typed {
		s.Errorf("a bag took %d taps and %d typed values", n, p.Typed-typed)
	} else {
		s.most = max(s.most, n)
	}
}

// closeBags closes 24 bags in turn; the helper's phone is cut off in the middle third.
func (s *twoPhones) closeBags() {
	owner, helper := s.owner, s.helper
	owner.GoTo(s.path + "/bagging")
	owner.WaitForText("close bag")
	picture(owner, "bagging-1")
	if n := phonetest.Evaluate[int](owner, `document.querySelectorAll('fieldset input[type=radio]:checked').length`); n > 1 { // the piece's
		s.Errorf("a place is chosen before anybody chose one")
	}
	s.closeNext(owner, true)
	owner.WaitForSync()
	helper.WaitForText("shed") // a helper sees the places in which bags stand
	s.closeNext(helper, true)
	taps := owner.Taps
	owner.Tap("Same for the next 5")
	owner.WaitForText("closed")
	if n := owner.Taps - taps; n > 1 {
		s.Errorf("5 bags alike took %d taps", n)
	}
	s.closeNext(helper, false)
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.WaitForSync()
		p.WaitFor("8 bags on both phones", s.hasBags(8))
	}
	helper.WaitForInstall()
	helper.GoOffline()
	for range 4 {
		s.closeNext(owner, false)
		s.closeNext(helper, false)
	}
	helper.WaitForText("4 to send")
	picture(helper, "bagging-offline")
	helper.GoOnline()
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.WaitForSync()
		p.WaitFor("16 bags on both phones", s.hasBags(16))
	}
	for i := range 8 {
		p := []*phonetest.Phone{owner, helper}[i%2]
		p.WaitFor("what the other closed", s.hasBags(16+i))
		s.closeNext(p, false)
		p.WaitForSync()
	}
	s.Logf("a bag took at most %d taps, and nothing was typed", s.most)
}

// hasBags is true on a phone that has so many bags.
func (s *twoPhones) hasBags(n int) string {
	return fmt.Sprintf(`appModule('/journal/views.js').then(async m => (await m.batchView(%q)).bags.length === %d)`, s.path[len("/batch/"):], n)
}

// checkAgreement holds both phones and the core against each other.
func (s *twoPhones) checkAgreement() {
	for _, p := range []*phonetest.Phone{s.owner, s.helper} {
		p.WaitForSync()
		p.WaitForText("Every piece is in a bag")
	}
	state, e := s.core(s.owner)
	numbers := map[string]bool{}
	for _, b := range state.Bags {
		numbers[fmt.Sprint(b.Number, b.Letter)] = true
		if b.Stays[0].Place == "" || len(b.Colours) == 0 {
			s.Errorf("bag %d has no place or no colours", b.Number)
		}
	}
	if len(state.Bags) != 24 || len(numbers) != 24 {
		s.Errorf("%d bags with %d numbers", len(state.Bags), len(numbers))
	}
	for _, piece := range state.Pieces {
		if n := state.CountBagged(piece.ID); n != piece.Count {
			s.Errorf("%d of %d are in bags: %+v", n, piece.Count, piece)
		}
	}
	v := batchview.ViewBatch(state, e)
	for _, p := range []*phonetest.Phone{s.owner, s.helper} {
		p.GoTo(s.path)
		s.checkShown(p, v.StageText, v.WeightText, "silk")
		for _, step := range v.Steps {
			s.checkShown(p, step.Detail)
		}
		shown := phonetest.Evaluate[[]string](p, `[...document.querySelectorAll('.tags .bag-number')].map(e => e.innerText.replace(/\s/g, ''))`)
		if len(shown) != 24 {
			s.Errorf("%d tags are shown: %v", len(shown), shown)
		}
		for _, b := range v.Bags {
			if !slices.Contains(shown, b.Number) {
				s.Errorf("bag %s has no tag on a screen", b.Number)
			}
		}
	}
	s.owner.Scroll(`document.querySelector('.tags').scrollIntoView()`)
	picture(s.owner, "batch-many")
}

// finish opens, rinses and finishes all bags on the owner's phone, and reads a temperature.
func (s *twoPhones) finish() {
	p := s.owner
	p.WaitForInstall()
	for _, p := range []*phonetest.Phone{s.owner, s.helper} {
		p.AllowOffline()
	}
	s.hub.Stop()
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
	if n := len(p.RecordedBodies(s.path, journal.KindBagOpened)); n != 0 {
		s.Errorf("after one undo %d bags are open", n)
	}
	p.Tap("Open 24")
	p.Tap("Mark rinsed 24")
	p.Tap("Mark washed and dry 24")
	p.WaitForText("24 bags washed and dry")
	if p.Taps-taps > 15 {
		s.Errorf("rinsing 24 bags took %d taps", p.Taps-taps)
	}
	s.Logf("rinsing 24 bags, with one undo, took %d taps", p.Taps-taps)
	for _, kind := range []string{journal.KindBagOpened, journal.KindBagRinsed, journal.KindBagDone} {
		if n := len(p.RecordedBodies(s.path, kind)); n != 24 {
			s.Errorf("%d bags have %s", n, kind)
		}
	}

	p.GoTo("/")
	taps = p.Taps
	p.Tap("shed…")
	p.Tap("A thermometer there shows: warmer")
	p.Tap("It is…")
	p.WaitForText("°C saved")
	if p.Taps-taps > 3 {
		s.Errorf("a temperature took %d taps", p.Taps-taps)
	}
	s.Logf("a temperature took %d taps", p.Taps-taps)
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
	p.WaitForText("belong")
	picture(p, "ten-times")
	p.Tap("Leave it")
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
	p.Tap("Leave it")
	p.Tap("clear to the bottom")
	p.WaitFor("it to be recorded", `appModule('/journal/facts.js').then(async m => (await m.allFacts()).some(f => f.kind === 'soak.dissolved'))`)
}
