//go:build unix

package bags_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// recordWashedBatches records two batches that were washed: in the first, bag 1 was done by the
// book and bag 2 stood cold and was opened after 6 h; the second had a fifth of the soda ash. It
// returns the paths of both, and of their bags.
const recordWashedBatches = `(async () => {
	const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js');
	const now = Date.now(), before = (hours) => now - hours * 3600e3;
	const [shed, porch] = await call('id.new', {n: 2});
	for (const [place, name, celsius] of [[shed, 'shed', 22], [porch, 'porch', 6]])
		await record([{scope: 'place/' + place, subject: place, kind: 'place.named', body: {name}, at: before(70)},
			{scope: 'place/' + place, subject: place, kind: 'place.read', body: {celsius}, at: before(69)}]);
	const play = async (name, soda, dye, bags) => {
		const [id, secret, piece, colour] = await call('id.new', {n: 4}), scope = 'batch/' + id;
		const say = (hours, kind, body, subject) => ({scope, kind, body, at: before(hours), ...(subject && {subject})});
		await record([say(68, 'batch.started', {name, secret}, id),
			say(67, 'piece.added', {kind: 'tee-m', count: bags.length, grams: 150, fibre: 'cotton', fold: 'spiral'}, piece),
			say(66.9, 'piece.scoured', {}, piece),
			say(66, 'colour.chosen', {name: dye.name, caps: dye.caps, rgb: dye.rgb, class: 'dichlorotriazine', strength: 26, depth: 1}, colour)]);
		const [soak, jug] = await call('id.new', {n: 2}), ids = await call('id.new', {n: bags.length});
		await record([say(65, 'soak.mixed', {water: 2000, soda: soda}, soak), say(64.5, 'soak.begun', {}, soak),
			say(64, 'soak.ended', {}, soak), say(63, 'jug.mixed', {colour, powder: 15, ml: 500}, jug)]);
		await record(bags.map(({cold}, i) => say(62, 'bag.closed', {number: i + 1, pieces: [{piece, count: 1}],
			colours: [{colour, share: 1}], place: cold ? porch : shed}, ids[i])));
		await record(bags.flatMap(({cold}, i) => [say(cold ? 56 : 20, 'bag.opened', {}, ids[i]),
			say(cold ? 55 : 19, 'bag.rinsed', {baths: 6, clear: true}, ids[i])]));
		await record(ids.map((bag) => say(2, 'bag.done', {}, bag)));
		return ['/batch/' + id, ...ids.map((bag) => '/bag/' + id + '/' + bag)];
	};
	return [await play('Spring market', 100, {name: 'rust', caps: 'RU', rgb: '#b5572a'}, [{}, {cold: true}]),
		await play('Thin soak', 20, {name: 'blue', caps: 'BL', rgb: '#1f4e9c'}, [{}])].flat();
})()`

// A washed bag is rated with one thumb, its record says why it is pale, and the batch is found,
// compared and done again.
func TestResultToNextBatch(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p := phonetest.Start(t)
	paths := phonetest.Evaluate[[]string](p, recordWashedBatches)
	market, clean, cold, thin, weak := paths[0], paths[1], paths[2], paths[3], paths[4]

	checkRating(p, market, clean)
	checkColourFromPhoto(p, market, clean)
	checkWhy(p, clean, cold, weak)
	checkCareCard(p, market, clean)
	checkAgain(p, market)
	checkCompare(p, market, thin)
	checkCompareColours(p, clean, weak)
	checkResults(p, market, cold)
	checkRatingHistory(p, market)
	checkTracedWhite(p, market, clean)
}

// checkRating rates a bag: each tap is one fact, and all come back after a reload.
func checkRating(p *phonetest.Phone, batch, bag string) {
	p.T.Helper()
	p.GoTo(bag)
	p.WaitFor("the hours along the strip", `[...document.querySelectorAll('.ruler span')].some((e) => parseFloat(e.style.left) > 0)`)
	p.Tap("Result…")
	p.WaitForText("each tap is saved")
	for i, tap := range []struct{ name, shown string }{
		{"Overall: 2", "overall 2 of 5"},
		{"Evenness: 4", "evenness 4 of 5"},
		{"White left: 5 %", "5 % white left"},
		{"pale", "pale"},
	} {
		p.Tap(tap.name)
		p.WaitForText(tap.shown)
		p.WaitFor("one fact for a tap", fmt.Sprintf(`document.querySelectorAll('.ratings [aria-pressed=true]').length === %d`, i+1))
		if n := len(p.RecordedBodies(batch, journal.KindResultRated)); n != i+1 {
			p.T.Errorf("%d taps recorded %d facts", i+1, n)
		}
	}
	for _, body := range p.RecordedBodies(batch, journal.KindResultRated) {
		if rated := slices.DeleteFunc(slices.Collect(maps.Keys(body)), func(k string) bool { return body[k] == 0.0 }); len(rated) != 1 {
			p.T.Errorf("one tap recorded %v", body)
		}
	}
	// Tapped again it is taken off.
	p.Tap("Evenness: 4")
	p.WaitForText("evenness taken off")
	p.WaitFor("one rating less", `document.querySelectorAll('.ratings [aria-pressed=true]').length === 3`)
	p.Tap("Evenness: 4")
	p.WaitFor("it is rated again", `document.querySelectorAll('.ratings [aria-pressed=true]').length === 4`)
	p.Fill("Note", "the back is lighter")
	p.Tap("Save note")
	p.WaitForText("note saved")
	p.Reload()
	p.WaitForText("2 of 5, even 4 of 5, 5 % stayed white", "pale, the back is lighter")
	pressed := phonetest.Evaluate[[]string](p, `[...document.querySelectorAll('.ratings [aria-pressed=true]')].map((b) => b.ariaLabel || b.innerText)`)
	if want := []string{"Overall: 2", "Evenness: 4", "White left: 5 %", "pale"}; !slices.Equal(pressed, want) {
		p.T.Errorf("after a reload %q are pressed, not %q", pressed, want)
	}
	p.Audit("a result")
	p.GoTo(batch)
	p.WaitForText("2 of 5")
}

// checkColourFromPhoto reads the colour of a photo whose left half is white paper and whose right
// half is the plan's rust.
func checkColourFromPhoto(p *phonetest.Phone, batch, bag string) {
	p.T.Helper()
	photo := image.NewRGBA(image.Rect(0, 0, 800, 600))
	draw.Draw(photo, photo.Bounds(), image.NewUniform(color.RGBA{0xf0, 0xf0, 0xf0, 255}), image.Point{}, draw.Src)
	draw.Draw(photo, image.Rect(400, 0, 800, 600), image.NewUniform(color.RGBA{0xb5, 0x57, 0x2a, 255}), image.Point{}, draw.Src)
	var text bytes.Buffer
	if err := jpeg.Encode(&text, photo, &jpeg.Options{Quality: 95}); err != nil {
		p.T.Fatal(err)
	}
	name := filepath.Join(p.T.TempDir(), "cloth.jpg")
	if err := os.WriteFile(name, text.Bytes(), 0o600); err != nil {
		p.T.Fatal(err)
	}
	p.GoTo(bag)
	p.ChoosePhoto(name)
	p.WaitForText("photo of bag 1 saved")
	p.GoTo(bag + "/result")
	p.Tap("Read colour")
	p.WaitForDialog()
	touch := func(share float64) {
		p.T.Helper()
		p.WaitFor("the picture", `document.querySelector('.photo-spots img')?.naturalWidth > 0`)
		p.WaitForRest()
		at := phonetest.Evaluate[[]float64](p, `(() => { const r = document.querySelector('.photo-spots').getBoundingClientRect(); return [r.x, r.y, r.width, r.height]; })()`)
		p.Do(chromedp.TapXY(at[0]+at[2]*share, at[1]+at[3]/2))
	}
	p.WaitForText("tap the white card")
	touch(0.25)
	p.WaitForText("now tap the cloth")
	touch(0.75)
	p.WaitForText("washes so far", "rust, L*")
	p.Audit("a colour that was read")
	picture(p, "colour-read")
	p.Tap("Save colour")
	p.WaitForText("bag 1: colour saved", "from the planned rust, within the ±")
	read := p.RecordedBodies(batch, journal.KindColourRead)
	if len(read) != 1 {
		p.T.Fatalf("read is %v", read)
	}
	// #b5572a by CIE 15 and IEC 61966-2-1, a little lighter since the card counts as white.
	want, lab := [3]float64{49, 36, 43}, read[0]["lab"].([]any)
	for i, v := range want {
		if got := lab[i].(float64); math.Abs(got-v) > 6 {
			p.T.Errorf("read is %v, not about %v", lab, want)
		}
	}
}

// checkWhy looks at what the record says about three bags that are pale.
func checkWhy(p *phonetest.Phone, clean, cold, weak string) {
	p.T.Helper()
	p.GoTo(clean + "/why")
	p.WaitForText("nothing in the record explains it")
	p.Audit("why, of a bag without a cause")
	first := func() string {
		p.T.Helper()
		p.WaitFor("a cause", `document.querySelector('.causes h2')`)
		return phonetest.Evaluate[string](p, `document.querySelector('.causes h2').innerText.replace(/\s+/g, ' ')`)
	}
	for _, bag := range []struct{ path, cause, figure string }{
		{cold, "Not long or warm enough likely", "6 h at"},
		{weak, "Weak soak likely", "10 g/L of soda ash"},
	} {
		p.GoTo(bag.path + "/why")
		p.WaitForText("choose what is wrong with it")
		p.Tap("pale")
		if got := first(); got != bag.cause {
			p.T.Errorf("the first cause is %q, not %q", got, bag.cause)
		}
		p.WaitForText(bag.figure, "next time")
		p.Audit("why, " + bag.cause)
	}
}

// recordPrices says what one piece of a batch cost, and the margin: a quarter of the price.
const recordPrices = `(async (batch) => {
	const {record} = await appModule('/journal/journal.js'), {loadState} = await appModule('/journal/states.js');
	const scope = 'batch/' + batch, [piece] = (await loadState(scope)).pieces;
	await record([{scope, subject: piece.id, kind: 'piece.changed', body: {price: 6}},
		{scope: 'shelf', kind: 'sums.set', body: {currency: 'EUR', margin: 0.25}}]);
	return '';
})`

// checkCareCard looks at the card that is printed for a buyer, and at the cost on the batch's sheet.
func checkCareCard(p *phonetest.Phone, batch, bag string) {
	p.T.Helper()
	phonetest.Evaluate[string](p, recordPrices+`("`+batch[len("/batch/"):]+`")`)
	p.GoTo(batch + "/sheet")
	p.WaitForText("batch sheet")
	p.WaitFor("the cost on the sheet", `document.querySelector('.pages')?.textContent.replace(/\s+/g, ' ').includes('12.00 EUR: pieces 12.00 EUR')`)
	picture(p, "sheet-with-cost")
	p.GoTo(bag + "/result")
	p.Tap("Price tag and care card…")
	p.WaitForText("6.00 EUR is what one piece", "the price adds your margin")
	p.WaitFor("the price with the margin", `document.querySelector('.card-price')?.innerText === '8.00 EUR'`)
	picture(p, "care-card")
	p.Fill("Price", "28.00")
	p.WaitForText("28.00", "tee, medium, spiral", "cotton", "do not bleach")
	p.Audit("a care card")
	p.Tap("Print")
	p.WaitFor("the copy that is printed", `document.querySelector('.print-copy .care-card')`)
	p.CheckPrints(1)
	sheet := p.PrintToPDF()
	if left, top, right, bottom := sheet.InkBox(); math.Abs(right-left-90) > 1 || left < 9 || top < 9 || bottom < 60 || bottom > 140 {
		p.T.Errorf("the card lies from %g, %g to %g, %g mm", left, top, right, bottom)
	}
}

// checkAgain starts a batch as another was done, in four taps from that one's screen.
func checkAgain(p *phonetest.Phone, batch string) {
	p.T.Helper()
	p.GoTo(batch)
	p.WaitForText("repeat batch")
	taps := p.Taps
	p.Tap("Repeat batch…")
	p.WaitForText("how it was done", "soak 50 g/L", "the jug had 30 g/L", "similar, not identical", "test strip")
	p.Audit("again") // which unfolds the weights
	p.Fill("One tee, medium, spiral, dry", "300 g")
	p.WaitForText("2 times as much cloth as then", "300 g now, 150 g then")
	p.Fill("One tee, medium, spiral, dry", "150 g")
	p.WaitForNoText("2 times as much cloth as then")
	p.Tap("Start the batch")
	p.WaitForText("batch started", "spring market, again")
	if n := p.Taps - taps; n > 4 {
		p.T.Errorf("doing it again took %d taps", n)
	}
	again := phonetest.Evaluate[string](p, `location.pathname`)
	if again == batch {
		p.T.Fatal("the same batch is open")
	}
	pieces, colours := p.RecordedBodies(again, journal.KindPieceAdded), p.RecordedBodies(again, journal.KindColourChosen)
	if len(pieces) != 1 || pieces[0]["kind"] != "tee-m" || pieces[0]["count"] != 2.0 || pieces[0]["grams"] != 150.0 || pieces[0]["fold"] != "spiral" {
		p.T.Errorf("the pieces are %v", pieces)
	}
	p.GoTo(again + "/history")
	p.WaitForText("repeats an earlier batch: Spring market, × 1")
	// 15 g in 500 mL, as it was mixed, where 26 g/L had been planned.
	if len(colours) != 1 || colours[0]["name"] != "rust" || colours[0]["strength"] != 30.0 || colours[0]["ml"] != 500.0 {
		p.T.Errorf("the colours are %v", colours)
	}
}

// checkCompare lays two batches side by side.
func checkCompare(p *phonetest.Phone, batch, other string) {
	p.T.Helper()
	p.GoTo(batch)
	p.Tap("Compare…")
	p.Tap("Thin soak…")
	p.WaitForText("what differed first: soak", "spring market, bag 1", "50 g/L", "10 g/L")
	p.Audit("comparing")
	p.Tap("Bag of Spring market: bag 2")
	p.WaitForText("spring market, bag 2")
	p.Tap("Two bags of this batch…")
	p.WaitForText("what differed first: cure", "spring market, bag 1", "spring market, bag 2")
	p.Audit("comparing two bags")
	p.Tap("Thin soak…")
	p.WaitForText("thin soak, bag 1")
	picture(p, "compare")
	differs := phonetest.Evaluate[[]string](p, `[...document.querySelectorAll('.compared dt.differs')].map((e) => e.firstChild.data.trim())`)
	if len(differs) < 3 || differs[0] != "Dry weight" || differs[1] != "Soak" {
		p.T.Errorf("what differs is %q", differs)
	}
}

// checkCompareColours reads the colour of a bag of another batch, of the same photo, and compares it with the first.
func checkCompareColours(p *phonetest.Phone, bag, other string) {
	p.T.Helper()
	ids := strings.Split(other, "/")
	phonetest.Evaluate[string](p, fmt.Sprintf(`(async () => {
		const {record} = await appModule('/journal/journal.js');
		await record([{scope: 'batch/%s', subject: '%s', kind: 'result.colour-read', body: {lab: [30, 8, -40], error: 4, washes: 10}}]);
		return '';
	})()`, ids[2], ids[3]))
	p.GoTo(bag + "/result")
	p.Tap("Compare with another piece…")
	p.Tap("Thin soak…")
	p.WaitForText("between the colours that were read (±", "thin soak, bag 1", "colour")
	p.Audit("comparing colours")
	p.HideToasts()
	p.Scroll("scrollTo(0, document.querySelector('.note').offsetTop - 400)")
	picture(p, "compare-colours")
	p.SetAppearance("dark", 390, 844, 16)
	picture(p, "compare-colours-dark")
	p.SetAppearance("light", 390, 844, 16)
}

// checkResults finds bags by their colour and by their rating.
func checkResults(p *phonetest.Phone, batch, cold string) {
	p.T.Helper()
	phonetest.Evaluate[string](p, fmt.Sprintf(`(async () => {
		const {record} = await appModule('/journal/journal.js'), {loadState} = await appModule('/journal/states.js');
		const scope = 'batch/%s', [piece] = (await loadState(scope)).pieces;
		await record([{scope, subject: piece.id, kind: 'piece.photographed', body: {sha256: '%s', stage: 'done', bag: '%s'}}]);
		return '';
	})()`, batch[len("/batch/"):], p.RecordedBodies(batch, journal.KindPiecePhotographed)[0]["sha256"], cold[strings.LastIndex(cold, "/")+1:]))
	p.GoTo(cold + "/result")
	p.Tap("Overall: 4")
	p.WaitForText("overall 4 of 5")
	p.GoTo("/batches")
	p.Tap("Results…")
	p.WaitForText("3 found")
	p.Tap("Find by colour, rating, date")
	p.Audit("results")
	p.Fill("Colour", "rust")
	p.WaitForText("2 found")
	p.Tap("4 or more")
	p.WaitForText("1 found", "4 of 5")
	p.Fill("Colour", "blue")
	p.WaitForText("0 found", "no opened bag matches")
	p.Tap("4 or more")
	p.WaitForText("1 found", "thin soak")
	p.Fill("Colour", "")
	p.WaitForText("3 found")
	// All were closed 62 hours ago.
	fillDate := func(label, date string) {
		p.T.Helper()
		phonetest.Evaluate[string](p, fmt.Sprintf(`(() => {
			const input = [...document.querySelectorAll('label')].find((l) => l.innerText === %q).control;
			input.value = %q;
			input.dispatchEvent(new Event('input', {bubbles: true}));
			return '';
		})()`, label, date))
	}
	day := func(ago time.Duration) string { return time.Now().Add(-ago).Format("2006-01-02") }
	fillDate("To", day(96*time.Hour))
	p.WaitForText("0 found")
	fillDate("Closed from", day(24*time.Hour))
	p.WaitForText("this is before the first day")
	p.Audit("results by date")
	fillDate("To", day(0))
	p.WaitForText("0 found")
	p.WaitForNoText("before the first day")
	fillDate("Closed from", day(96*time.Hour))
	p.WaitForText("3 found")
	picture(p, "results-by-date")
	p.HideToasts()
	// A buyer sees no rating, nor what came out badly.
	p.Tap("Show to a buyer")
	p.WaitForText("dyed by hand", "tee, medium, spiral", "blue")
	p.WaitForNoText("of 5")
	if n := phonetest.Evaluate[int](p, `document.querySelectorAll('.for-buyers > li').length`); n != 2 {
		p.T.Errorf("a buyer sees %d pieces, not the 2 that are not rated below 4", n)
	}
	p.WaitFor("the photo of one", `document.querySelector('.for-buyers .photo img')?.naturalWidth > 0`)
	p.Audit("the wall for a buyer")
	picture(p, "wall-for-a-buyer")
	p.SetAppearance("dark", 390, 844, 16)
	picture(p, "wall-for-a-buyer-dark")
	p.SetAppearance("light", 390, 844, 16)
	p.Tap("Done")
	p.WaitForText("3 found")
}

// checkRatingHistory reads the lines of the ratings, and takes one back.
func checkRatingHistory(p *phonetest.Phone, batch string) {
	p.T.Helper()
	p.GoTo(batch + "/history")
	p.WaitForText("Bag 1 rated: overall 2 of 5", "Bag 1 rated: evenness 4 of 5", "Bag 1 rated: 5 % stayed white", "Bag 1 rated: pale",
		"Bags 1 and 2 washed and dry")
	p.Audit("history of ratings")
	p.Tap("Undo: bag 1 rated: overall 2 of 5")
	p.WaitForText("· undone")
	rated := p.RecordedBodies(batch, journal.KindResultRated)
	if slices.ContainsFunc(rated, func(b map[string]any) bool { return b["overall"] == 2.0 }) {
		p.T.Errorf("the rating still holds: %v", rated)
	}
	p.WaitFor("the line to be struck out", `document.querySelector('.struck-out')?.innerText.includes('overall 2 of 5')`)
	// A note without a space, as bad will may write it, leaves Undo where a thumb reaches it.
	p.GoTo("/")
	phonetest.Evaluate[bool](p, fmt.Sprintf(`(async () => {
		const {record} = await appModule('/journal/journal.js'), id = %q;
		await record([{scope: 'batch/' + id, subject: id, kind: 'batch.changed', body: {note: 'n'.repeat(3000)}}]);
		return true;
	})()`, filepath.Base(batch)))
	p.GoTo(batch + "/history")
	p.WaitForText("nnnn")
	if width := phonetest.Evaluate[float64](p, `document.querySelector('.history').scrollWidth - innerWidth`); width > 0 {
		p.T.Errorf("a row of the history is %.0f px wider than the phone", width)
	}
}
