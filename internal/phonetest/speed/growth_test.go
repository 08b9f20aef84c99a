//go:build unix

package speed_test

import (
	"fmt"
	"slices"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"
)

// A journal of years: so many batches that are done, and so many bags of one day that cure.
const (
	doneBatches = 200
	curingBags  = 500
	rounds      = 15 // of which the median counts

	growthLimit = 1.2  // times as long as with one batch that is done
	todayLimit  = 1500 // ms for Today with all curing bags
)

// recordBatches records n batches that are done, each with two bags, and an open one with the given
// number of bags. It returns the open batch, its piece and colour, and a bag of the middle one that is done.
const recordBatches = `(async (n, bags) => {
	const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js');
	const hours = (h) => Date.now() - h * 3600e3;
	const begin = async (name, from) => {
		const [id, secret, piece, colour] = await call('id.new', {n: 4}), scope = 'batch/' + id;
		const say = (kind, body, subject, at) => ({scope, kind, body, subject, at: from + at * 3600e3});
		const facts = [say('batch.started', {name, secret}, id, 0),
			say('piece.added', {kind: 'tee-m', count: 500, grams: 150, fibre: 'cotton', fold: 'spiral'}, piece, 1),
			say('colour.chosen', {name: 'rust', caps: 'RU', rgb: '#b5572a', class: 'dichlorotriazine', strength: 26, depth: 1}, colour, 1)];
		return {id, piece, colour, say, facts};
	};
	const close = (b, number, bag, at) => b.say('bag.closed', {number, celsius: 21, pieces: [{piece: b.piece, count: 1}],
		colours: [{colour: b.colour, share: 1}]}, bag, at);
	let middle;
	for (let i = 0; i < n; i++) {
		const b = await begin('Batch ' + (i + 1), hours(100 * (n - i) + 300));
		const ids = await call('id.new', {n: 2});
		ids.forEach((id, k) => b.facts.push(close(b, k + 1, id, 3), b.say('bag.opened', {}, id, 30), b.say('bag.rinsed', {baths: 6, clear: true}, id, 31),
			b.say('result.rated', {overall: 4}, id, 60), b.say('bag.done', {}, id, 61)));
		b.facts.push(b.say('batch.finished', {}, b.id, 70));
		await record(b.facts);
		if (i === n >> 1) middle = '/bag/' + b.id + '/' + ids[1];
	}
	const open = await begin('Open now', hours(30));
	for (const [i, id] of (await call('id.new', {n: bags})).entries()) open.facts.push(close(open, i + 1, id, 10 + 10 * i / bags));
	await record(open.facts);
	return {open: open.id, piece: open.piece, colour: open.colour, middle};
})`

// measureScreens returns how many ms each of these took on the page that is open: it goes to a screen, or
// closes a bag, and waits until what is awaited is on the screen.
const measureScreens = `(async ({open, piece, colour, middle}) => {
	const {navigate} = await appModule('/device/router.js'), {closeBag} = await appModule('/journal/journal.js');
	const frame = () => new Promise(requestAnimationFrame);
	const shown = async (test) => { while (!test()) await frame(); await frame(); };
	const text = () => document.querySelector('main')?.textContent ?? '';
	const time = async (act, test) => { const from = performance.now(); await act(); await shown(test); return performance.now() - from; };
	const title = (words) => document.querySelector('h1')?.textContent === words;
	const times = {};
	navigate('/sums');
	await shown(() => title('Sums'));
	times['tab Batches'] = await time(() => navigate('/batches'), () => text().includes('Open now'));
	navigate('/sums');
	await shown(() => title('Sums'));
	times['a bag that is done'] = await time(() => navigate(middle), () => text().includes('Washed and dry'));
	navigate('/sums');
	await shown(() => title('Sums'));
	times['Today'] = await time(() => navigate('/'), () => text().includes('curing'));
	navigate('/batch/' + open);
	await shown(() => title('Open now'));
	const bags = () => document.querySelectorAll('main .bag-tag, main [href*="/bag/"]').length;
	const before = bags();
	if (before < 16) times['close a bag'] = await time(() => closeBag(open, {pieces: [{piece, count: 1}], colours: [{colour, share: 1}], celsius: 21}), () => bags() > before);
	return times;
})`

// A phone of a quarter of this computer's speed is hardly slower after years of use, and Today comes up
// with 500 bags that cure.
func TestGrowth(t *testing.T) {
	needLong(t)
	browser := phonetest.PlainBrowser(t)
	type phone struct {
		*phonetest.Phone
		ids   map[string]string
		times map[string][]float64
	}
	start := func(batches, bags int) *phone {
		p := &phone{phonetest.NewPhoneIn(t, browser, hubtest.Start(t).URL()), nil, map[string][]float64{}}
		p.Open("/")
		p.ids = phonetest.Evaluate[map[string]string](p.Phone, fmt.Sprintf("%s(%d, %d)", recordBatches, batches, bags))
		p.WaitForSync()
		return p
	}
	young, old, busy := start(1, 4), start(doneBatches, 4), start(1, curingBags)
	for range rounds {
		for _, p := range []*phone{young, old, busy} {
			p.SlowDown(4)
			for name, ms := range phonetest.Evaluate[map[string]float64](p.Phone, fmt.Sprintf("%s({open: %q, piece: %q, colour: %q, middle: %q})",
				measureScreens, p.ids["open"], p.ids["piece"], p.ids["colour"], p.ids["middle"])) {
				p.times[name] = append(p.times[name], ms)
			}
			p.SlowDown(1)
		}
	}
	for _, name := range []string{"tab Batches", "a bag that is done", "Today", "close a bag"} {
		few, many := median(young.times[name]), median(old.times[name])
		t.Logf("%-20s %4.0f ms with 1 batch that is done, %4.0f ms with %d: ratio %.2f of %.1f at most", name, few, many, doneBatches, many/few, growthLimit)
		if many > growthLimit*few {
			t.Errorf("%s takes %.2f times as long with %d batches", name, many/few, doneBatches)
		}
	}
	today := median(busy.times["Today"])
	t.Logf("Today with %d bags that cure: %.0f ms of %d at most", curingBags, today, todayLimit)
	if today > todayLimit {
		t.Errorf("Today takes %.0f ms with %d bags", today, curingBags)
	}
}

func median(list []float64) float64 {
	slices.Sort(list)
	return list[len(list)/2]
}
