//go:build unix

package speed_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"
)

// Bounds for a phone whose processor is four times slower than this computer's. The first is for 98 of 100 taps: from
// the touch until the next picture, as the browser's event timing has it.
const (
	slowness  = 4
	tapLimit  = 100 * time.Millisecond
	taskLimit = 50 * time.Millisecond
)

// tapTrips are what a person taps one after another, by its name or, with …, the beginning of it.
var tapTrips = []struct {
	path string // of the invented example: {batch}, {planned}, {bag}, {wet}, {place}, {stock} and {piece} stand for ids
	taps []string
}{
	{"/", []string{"Batches", "Sums", "Shelf", "Today", "Bag 3…"}},
	{"/bag/{batch}/{bag}", []string{"Temperature", "Close", "Move bag", "Close", "Alarm", "Close", "Weigh it", "Close", "Label", "Close",
		"I had a look", "Undo", "When: now", "How this is worked out", "spring market"}},
	{"/batch/{batch}", []string{"Plan…", "Cost breakdown", "spring market", "Change the name", "Close", "Print labels…", "Blanks…", "Bags…"}},
	{"/batch/{batch}/bagging", []string{"Kitchen shelf…", "Another piece…", "Other colours", "Close bag 6", "Undo"}},
	{"/batch/{batch}/history", []string{"spring market"}},
	{"/batch/{planned}/pieces", []string{"Tote bag", "Add 1 to the batch", "Undo"}},
	{"/batch/{planned}/colours", []string{"violet", "Close"}},
	{"/batch/{planned}/soak", []string{"Water: more", "Water: more", "Water: less", "I weighed a different amount", "It is mixed", "Undo"}},
	{"/batch/{planned}/jugs", []string{"1", "2", ".", "5", "delete", "LN…"}},
	{"/bag/{batch}/{wet}/result", []string{"Overall: 4", "Evenness: 3", "White left: 10 %", "patchy"}},
	{"/sums", []string{"Soda-ash soak…", "10 L", "25 °C", "More options…", "How this is worked out", "Sums"}},
	{"/shelf", []string{"New place", "Close", "Add to the shelf", "Close"}},
	{"/stock/{stock}", []string{"Weigh it", "Close"}},
	{"/place/{place}", []string{"A thermometer there shows: warmer", "Change usual night and day"}},
	{"/phone", []string{"Ounces…", "Grams…"}},
	{"/batch/{planned}/fold/{piece}", []string{"rings", "wedges", "Same on both sides"}},
}

// watchTaps has the page note how long each event took until its picture, and each task over 50 ms.
const watchTaps = `{
	const seen = globalThis.tapsSeen = {events: [], tasks: [], clicked: 0};
	document.addEventListener('click', e => { seen.clicked = e.timeStamp; }, {capture: true}); // past the window, where the page ignores taps
	new PerformanceObserver(list => seen.events.push(...list.getEntries())).observe({type: 'event', durationThreshold: 16});
	new PerformanceObserver(list => seen.tasks.push(...list.getEntries())).observe({type: 'longtask'});
}`

// findTarget scrolls a control to the middle, the sheet's before the screen's, and returns its middle.
const findTarget = `(async () => {
	const name = %q, root = document.querySelector('dialog[open]') ?? document;
	const nameOf = el => (el.ariaLabel || el.innerText || el.labels?.[0]?.innerText || '').replace(/\s+/g, ' ').trim();
	const at = el => /^(checkbox|radio)$/.test(el.type) ? el.labels[0] : el;
	const found = [...root.querySelectorAll('a[href], button, summary, input[type=radio], input[type=checkbox]')]
		.find(el => (name.endsWith('…') ? nameOf(el).startsWith(name.slice(0, -1)) : nameOf(el) === name) && !el.disabled && at(el).checkVisibility());
	if (!found) return {why: 'nothing is named so'};
	at(found).scrollIntoView({block: 'center', behavior: 'instant'});
	for (let i = 0; i < 3; i++) await new Promise(requestAnimationFrame);
	const box = at(found).getBoundingClientRect(), x = box.x + Math.min(box.width / 2, 150), y = box.y + box.height / 2;
	const over = document.elementFromPoint(x, y), {isDeaf} = await appModule('/device/one-touch.js');
	const why = ![found, at(found)].some(el => el.contains(over)) ? 'it is covered by ' + over?.outerHTML.slice(0, 100) : isDeaf(found, x, y) ? 'the page ignores it' : '';
	return {x, y, why};
})()`

// target is what findTarget returns: a point, or why it cannot be tapped.
type target struct {
	X, Y float64
	Why  string
}

// tapMeasured says how long a tap took: until its picture, and the tasks over 50 ms until the page was at rest.
type tapMeasured struct {
	where  string
	answer time.Duration
	tasks  []time.Duration
}

// A phone of a quarter of this computer's speed answers a tap at once, and no task keeps it from the next. All is
// printed; the answers are judged, the tasks only counted.
func TestTaps(t *testing.T) {
	needLong(t)
	p := phonetest.NewPhoneIn(t, phonetest.PlainBrowser(t), hubtest.Start(t, "--example").URL())
	p.AddScript(watchTaps)
	p.Open("/")
	p.WaitForText("open batches")
	ids := phonetest.Evaluate[map[string]string](p, exampleIDs)
	var measured []tapMeasured
	for _, trip := range tapTrips {
		path := trip.path
		for name, id := range ids {
			path = strings.ReplaceAll(path, "{"+name+"}", id)
		}
		p.GoTo("/nowhere")
		p.GoTo(path)
		p.WaitFor("the screen at its top", `document.activeElement?.tagName === 'H1'`)
		p.WaitForRest()
		p.SlowDown(slowness)
		for _, name := range trip.taps {
			m := measureTap(p, name)
			m.where = trip.path + " " + name
			measured = append(measured, m)
		}
		p.SlowDown(1)
	}
	report(t, measured)
}

// measureTap taps the control of that name.
func measureTap(p *phonetest.Phone, name string) tapMeasured {
	p.T.Helper()
	var begin float64
	for try := 1; ; try++ {
		at := target{Why: "?"}
		for end := time.Now().Add(hubtest.WaitTimeout); at.Why != ""; time.Sleep(50 * time.Millisecond) {
			if at = phonetest.Evaluate[target](p, fmt.Sprintf(findTarget, name)); time.Now().After(end) {
				p.T.Fatalf("no control can be tapped named %q: %s", name, at.Why)
			}
		}
		begin = phonetest.Evaluate[float64](p, `performance.now()`)
		p.TapAt(at.X, at.Y, 60*time.Millisecond)
		time.Sleep(600 * time.Millisecond)
		p.WaitForRest()
		if phonetest.Evaluate[bool](p, fmt.Sprintf(`tapsSeen.clicked >= %f`, begin)) {
			break
		}
		if p.T.Logf("the page ignored a tap on %q", name); try == 3 {
			p.T.Fatal("three times")
		}
	}
	seen := phonetest.Evaluate[struct{ Events, Tasks []float64 }](p, fmt.Sprintf(`(() => {
		const durations = (list) => list.filter(e => e.startTime >= %f).map(e => e.duration);
		return {events: durations(tapsSeen.events.filter(e => e.interactionId)), tasks: durations(tapsSeen.tasks)};
	})()`, begin))
	ms := func(v float64) time.Duration { return time.Duration(v * float64(time.Millisecond)) }
	m := tapMeasured{}
	for _, v := range seen.Events {
		m.answer = max(m.answer, ms(v))
	}
	for _, v := range seen.Tasks {
		m.tasks = append(m.tasks, ms(v))
	}
	return m
}

// report prints the slowest taps, and the 98th percentile of all.
func report(t *testing.T, measured []tapMeasured) {
	slices.SortFunc(measured, func(a, b tapMeasured) int { return int(b.answer - a.answer) })
	long, longest := 0, time.Duration(0)
	for _, m := range measured {
		t.Logf("%4d ms until the picture, tasks over 50 ms %v: %s", m.answer.Milliseconds(), m.tasks, m.where)
		for _, task := range m.tasks {
			long++
			longest = max(longest, task)
		}
	}
	percentile := measured[len(measured)*2/100].answer
	t.Logf("%d taps at a quarter of the speed: 98th percentile %v, worst %v (%s); %d tasks over %v, the longest %v",
		len(measured), percentile, measured[0].answer, measured[0].where, long, taskLimit, longest)
	if percentile > tapLimit {
		t.Errorf("the 98th percentile of the answers to a tap is %v, not %v at most", percentile, tapLimit)
	}
}

// exampleIDs returns what the paths above stand for.
const exampleIDs = `(async () => {
	const {loadBatches, loadPlaces, loadShelf} = await appModule('/journal/states.js'), {batchView} = await appModule('/journal/views.js');
	const all = await loadBatches(), view = await batchView(all.find(b => b.bags?.length).id), planned = all.find(b => !b.bags?.length);
	return {batch: view.id, bag: view.bags.find(b => b.stage === 'cure' && b.number === '3').id, wet: view.bags.find(b => b.stage === 'opened').id,
		planned: planned.id, piece: planned.pieces[0].id, place: Object.keys(await loadPlaces())[0], stock: (await loadShelf()).shelf.items[0].id};
})()`
