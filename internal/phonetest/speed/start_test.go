//go:build unix

package speed_test

import (
	"fmt"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"

	"github.com/chromedp/chromedp"
)

// How many times as long as what it is compared with each takes, on a page's thread at a quarter of this
// computer's speed: the first paint of the app and that of a page of one line; the first bag's number and the
// core's first answer from an empty page; the first sync of a phone, and fetching and storing the same facts.
// The goals are printed; they are not reached yet, so that the test fails only where it becomes worse.
var (
	paintRatio     = ratioBounds{goal: 1.2, most: 4}
	bagRatio       = ratioBounds{goal: 1.4, most: 4}
	firstSyncRatio = ratioBounds{goal: 3, most: 60}
)

type ratioBounds struct{ goal, most float64 }

const (
	syncedBatches = 20
	syncedBags    = 500
)

// replacePage puts another page in the place of the app's, in the cache of the worker that serves both.
const replacePage = `(async (page) => {
	for (const name of await caches.keys())
		if (name.startsWith('coldbatch-'))
			await (await caches.open(name)).put('/', new Response(page, {headers: {'Content-Type': 'text/html; charset=utf-8'}}));
})(%q)`

// The pages that the app is compared with: one line, and one that asks the core for its first answer.
const (
	lineOnly = `<!doctype html><meta charset=utf-8><title>line</title><p>one line`
	coreOnly = `<!doctype html><meta charset=utf-8><title>core</title><p>…<script>
		const worker = new Worker('/core/core-worker.js', {name: 'core'});
		worker.onmessage = ({data}) => {
			if (data.ready) worker.postMessage({id: 1, name: 'about', body: '{}'});
			else globalThis.answeredAt = performance.now();
		};
	</script>`
)

// watchBags notes when the number of a bag is first on the page.
const watchBags = `{
	const find = () => {
		if (!document.querySelector('main [href*="/bag/"]')) return;
		observer.disconnect();
		requestAnimationFrame(() => { globalThis.bagShownAt = performance.now(); });
	};
	const observer = new MutationObserver(find);
	observer.observe(document, {childList: true, subtree: true});
}`

// With the program stopped, the app's first paint comes hardly later than that of a page of one line, and the
// first bag's number hardly later than the core's first answer.
func TestStart(t *testing.T) {
	needLong(t)
	browser := phonetest.PlainBrowser(t)
	h := hubtest.Start(t)
	prepare := func(page string) *phonetest.Phone {
		p := phonetest.NewPhoneIn(t, browser, h.URL())
		p.Open("/")
		if page == "" {
			phonetest.Evaluate[map[string]string](p, recordBatches+"(1, 4)")
			p.AddScript(watchBags)
		}
		p.WaitForSync()
		p.WaitForInstall()
		p.AllowNetworkErrors()
		if page != "" {
			phonetest.Evaluate[any](p, fmt.Sprintf(replacePage, page))
		}
		return p
	}
	app, line, core := prepare(""), prepare(lineOnly), prepare(coreOnly)
	h.Stop()
	var paints, linePaints, bags, answers []float64
	measure := func(p *phonetest.Phone, awaited string) (paint, at float64) {
		p.SlowDown(slowness)
		defer func() { // nothing of it goes on beside the next
			p.SlowDown(1)
			p.Do(chromedp.Navigate("about:blank"))
		}()
		p.Do(chromedp.Navigate(p.Base + "/"))
		p.WaitFor("the first paint", `performance.getEntriesByName('first-contentful-paint').length > 0`)
		if awaited != "" {
			p.WaitFor(awaited, `globalThis.`+awaited+` > 0`)
			at = phonetest.Evaluate[float64](p, `globalThis.`+awaited)
		}
		return phonetest.Evaluate[float64](p, `performance.getEntriesByName('first-contentful-paint')[0].startTime`), at
	}
	for range rounds {
		paint, bag := measure(app, "bagShownAt")
		linePaint, _ := measure(line, "")
		_, answer := measure(core, "answeredAt")
		paints, bags = append(paints, paint), append(bags, bag)
		linePaints, answers = append(linePaints, linePaint), append(answers, answer)
	}
	compare(t, "first paint", median(paints), "a page of one line", median(linePaints), paintRatio)
	compare(t, "first bag's number", median(bags), "the core's first answer", median(answers), bagRatio)
}

// compare prints two times in ms, and fails the test where the first is too many times the second.
func compare(t *testing.T, what string, ms float64, other string, otherMS float64, bounds ratioBounds) {
	t.Helper()
	t.Logf("%s: %.0f ms, %s: %.0f ms, ratio %.2f, goal %.1f", what, ms, other, otherMS, ms/otherMS, bounds.goal)
	if ms > bounds.most*otherMS {
		t.Errorf("%s takes %.2f times as long as %s", what, ms/otherMS, other)
	}
}

// fetchAndPut fetches all facts and puts them into a database of its own, one transaction for each answer.
const fetchAndPut = `(async () => {
	const {call} = await appModule('/core/core.js'), [device] = await call('id.new', {n: 1});
	const db = await new Promise((resolve, reject) => {
		const opening = indexedDB.open('bare', 1);
		opening.onupgradeneeded = () => opening.result.createObjectStore('facts', {keyPath: 'id'});
		opening.onsuccess = () => resolve(opening.result);
		opening.onerror = () => reject(opening.error);
	});
	const from = performance.now();
	for (let cursor = null, more = true; more; ) {
		const body = JSON.stringify({device, cursor, facts: [], lease: []});
		const answer = await (await fetch('/api/v1/exchange', {method: 'POST', headers: {'Content-Type': 'application/json'}, body})).json();
		await new Promise((resolve, reject) => {
			const t = db.transaction('facts', 'readwrite');
			for (const fact of answer.facts) t.objectStore('facts').put(fact);
			t.oncomplete = resolve;
			t.onerror = () => reject(t.error);
		});
		({cursor, more} = answer);
	}
	return performance.now() - from;
})()`

// syncAll makes the first round of syncing, until the state of every batch is there.
const syncAll = `(async () => {
	const {runSyncRound} = await appModule('/sync/sync-round.js'), {loadBatches} = await appModule('/journal/states.js');
	const from = performance.now();
	await runSyncRound();
	const bags = (await loadBatches()).flatMap((b) => b.bags).length;
	return [performance.now() - from, bags];
})()`

// The first sync of a phone with a journal of years takes little longer than fetching and storing it.
func TestFirstSync(t *testing.T) {
	needLong(t)
	browser := phonetest.PlainBrowser(t)
	h := hubtest.Start(t)
	writer := phonetest.NewPhoneIn(t, browser, h.URL())
	writer.Open("/")
	phonetest.Evaluate[map[string]string](writer, fmt.Sprintf("%s(%d, %d)", recordBatches, syncedBatches, syncedBags))
	hubtest.WaitUntil(t, "all bags on the hub", func() bool { return h.CountFacts(journal.KindBagClosed) == 2*syncedBatches+syncedBags })
	writer.Close()
	var syncs, bare []float64
	for range 5 {
		p := phonetest.NewPhoneIn(t, browser, h.URL())
		p.BlockSync()
		p.Open("/")
		p.WaitForRest()
		time.Sleep(time.Second) // the round that fails has ended
		p.UnblockSync()
		bare = append(bare, phonetest.Evaluate[float64](p, fetchAndPut))
		synced := phonetest.Evaluate[[2]float64](p, syncAll)
		if synced[1] != syncedBags {
			t.Fatalf("there are %g bags, not %d", synced[1], syncedBags)
		}
		syncs = append(syncs, synced[0])
		p.Close()
	}
	compare(t, fmt.Sprintf("first sync of %d batches and %d bags", syncedBatches, syncedBags), median(syncs), "fetching and storing it", median(bare), firstSyncRatio)
}
