//go:build unix

package bags_test

import (
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// recordColdBatch records a batch of twelve bags of three colours that have stood in a shed at 8 °C for
// 20 hours, and a warm kitchen; it returns the paths of the batch, the shed and the kitchen.
const recordColdBatch = `(async () => {
	const before = (hours) => Date.now() - hours * 3600e3;
	const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js');
	const [id, secret, shed, kitchen, piece, ...colours] = await call('id.new', {n: 8});
	const scope = 'batch/' + id;
	for (const [place, name, celsius] of [[shed, 'shed', 8], [kitchen, 'kitchen', 21]])
		await record([{scope: 'place/' + place, subject: place, kind: 'place.named', body: {name}},
			...[21, 0].map((hours) => ({scope: 'place/' + place, subject: place, kind: 'place.read', body: {celsius}, at: before(hours)}))]);
	const dyes = [['yellow', 'YE', '#e9c21b'], ['rust', 'RU', '#b5572a'], ['black', 'BK', '#1d1d22']];
	await record([{scope, subject: id, kind: 'batch.started', body: {name: 'Cold market', secret}, at: before(24)},
		{scope, subject: piece, kind: 'piece.added', body: {kind: 'napkin', count: 12, grams: 90, fold: 'spiral'}, at: before(23)},
		...dyes.map(([name, caps, rgb], i) => ({scope, subject: colours[i], kind: 'colour.chosen',
			body: {name, caps, rgb, class: 'dichlorotriazine', strength: 26, depth: 1}, at: before(22)}))]);
	await record(colours.map((colour) => ({scope, kind: 'jug.mixed', body: {colour, powder: 9, ml: 300}, at: before(21)})));
	await record(Array.from({length: 12}, (_, i) => ({scope, kind: 'bag.closed', at: before(20), body: {number: i + 1, letter: 'B', place: shed,
		pieces: [{piece, count: 1}], colours: [{colour: colours[i < 5 ? 0 : i < 10 ? 1 : 2], share: 1}]}})));
	return [scope, shed, kitchen].join(' ');
})()`

// The second half of a weekend with two phones: a cold night in the shed, which both say; a calendar
// at home that follows a reading; the bags carried in; with the program gone, what was missed, a wash
// day, counted bath by bath up to the dry pieces, and the rating; and with the program back the other
// phone sees it and repeats the batch at half size.
func TestColdNightToNextBatch(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p := phonetest.Start(t)
	q := phonetest.NewPhone(t, h.URL())
	q.Open("/")
	scope, places, _ := strings.Cut(phonetest.Evaluate[string](p, recordColdBatch), " ")
	shed, kitchen, _ := strings.Cut(places, " ")
	p.GoTo("/")
	const advice = "Carry them to “kitchen” now → "
	p.WaitForText("12 bags need a look", advice, "; leave them → ")
	p.Audit("today with a place in trouble")
	p.WaitForSync()
	q.WaitForText("12 bags need a look", advice)

	// The calendar: the same bytes from the program and from the phone alone.
	q.GoTo("/place/" + shed)
	q.WaitForText("12 bags, ready", advice)
	q.Audit("a place with cold bags")
	q.Tap("Alarm…")
	q.WaitForText("Add to the calendar", "Get it from the hub instead")
	q.Audit("alarms of a place")
	q.CloseDialog()
	var file string
	hubtest.WaitUntil(t, "the phone to have every fact, and then the same file", func() bool {
		file = get(t, h.URL()+"/api/v1/calendar?place="+shed)
		return file == phonetest.Evaluate[string](q, fmt.Sprintf(calendarOnPhone, shed))
	})
	if !strings.Contains(file, "SUMMARY:12 bags probably ready: Cold market") {
		t.Errorf("%s", file)
	}

	// A calendar at home follows a reading that the other phone records.
	p.GoTo("/calendars")
	p.WaitForText("No calendars yet")
	p.Tap("Add a calendar")
	p.Fill("Whose calendar", "kitchen tablet")
	p.Tap("Add the calendar")
	p.WaitForText("the only time the address")
	p.Audit("the address of a calendar")
	address := phonetest.Evaluate[string](p, `document.querySelector('.monospace').textContent`)
	_, path, _ := strings.Cut(address, "/api/")
	p.Tap("Done")
	p.WaitForSync()
	hubtest.WaitUntil(t, "the calendar", func() bool { return h.CountFacts(journal.KindCalendarOpened) == 1 })
	feed := func() string { return get(t, h.URL()+"/api/"+path) }
	before := feed()
	q.GoTo("/place/" + shed)
	q.Tap("Last night’s low and high")
	q.Fill("Lowest", "5")
	q.Fill("Highest", "7")
	q.Tap("Save")
	q.WaitForText("5 °C to 7 °C saved")
	q.WaitForSync()
	hubtest.WaitUntil(t, "the reading", func() bool { return h.CountFacts(journal.KindPlaceExtremes) == 1 })
	q.Fill("A thermometer there shows", "4")
	q.Tap("It is 4 °C now")
	q.WaitForText("4 °C saved")
	q.WaitForSync()
	hubtest.WaitUntil(t, "the second reading", func() bool { return h.CountFacts(journal.KindPlaceRead) == 5 })
	if after := feed(); calendarLine(after, "UID") != calendarLine(before, "UID") || calendarLine(after, "DTSTART") <= calendarLine(before, "DTSTART") ||
		calendarLine(after, "SEQUENCE") == calendarLine(before, "SEQUENCE") {
		t.Errorf("the reading did not move the calendar:\n%s\n%s", before, after)
	}

	// Carried in, and a day later.
	phonetest.Evaluate[string](q, fmt.Sprintf(`(async () => {
		const {record} = await appModule('/journal/journal.js'), {loadState} = await appModule('/journal/states.js');
		const {bags} = await loadState(%[1]q);
		await record(bags.map((b) => ({scope: %[1]q, subject: b.id, kind: 'bag.moved', body: {place: %[2]q}})));
		return '';
	})()`, scope, kitchen))
	q.WaitForSync()
	hubtest.WaitUntil(t, "the moves", func() bool { return h.CountFacts(journal.KindBagMoved) == 12 })
	p.GoTo("/")
	p.WaitForText("12 bags are curing")
	p.WaitForInstall()
	p.AllowNetworkErrors()
	q.AllowNetworkErrors()
	inKitchen := get(t, h.URL()+"/api/v1/calendar?place="+kitchen)
	h.Stop()
	if alone := phonetest.Evaluate[string](q, fmt.Sprintf(calendarOnPhone, kitchen)); alone != inKitchen {
		t.Errorf("without the program the phone makes another calendar:\n%s\n%s", alone, inKitchen)
	}
	p.AdvanceClock(23 * time.Hour) // with the program there, the phone would go by its clock
	p.Open("/")
	p.WaitForText("While the app was closed", "12 bags are probably ready")
	p.Audit("what was missed")
	time.Sleep(time.Second) // the alarm takes no touch that was meant for what it covers
	p.Tap("OK")
	p.WaitForText("Wash day")

	// The wash: light ones first, dark ones alone.
	p.GoTo("/wash")
	p.WaitForText("12 bags in 4 tubs", "Tub 1 · light colours", "Tub 2 · medium colours", "Tub 3 · dark, alone")
	p.Audit("a wash day")
	taps := 0
	tap := func(name string) {
		p.Tap(name)
		taps++
	}
	tap("Open and rinse: tub 1")
	p.WaitForText("Cold bath 1 of ")
	cold := phonetest.Evaluate[int](p, `document.querySelectorAll('.baths li.cold').length`)
	hot := phonetest.Evaluate[int](p, `document.querySelectorAll('.baths li.hot').length`)
	count := func(kind string, n int) {
		for i := range n {
			tap(kind + " bath done: tub 1")
			p.WaitFor("the bath to be counted", fmt.Sprintf(`document.querySelectorAll('section.tub')[0].querySelectorAll('.baths li.%s.done').length === %d`,
				strings.ToLower(kind), i+1))
		}
	}
	count("Cold", cold)
	p.WaitForText("Hot bath 1 of ")
	count("Hot", hot)
	p.WaitForText("Press a white rag on the wet cloth")
	tap("Tinted")
	p.WaitForText("One more hot bath, then the rag again")
	tap("Hot bath done: tub 1")
	p.WaitForText("Press a white rag on the wet cloth")
	p.Audit("a tub before the rag")
	tap("Clean")
	tap("Move to the machine: tub 1")
	p.WaitForText("Into the machine", "7 bags in 3 tubs")
	p.Audit("the machine")
	tap("Mark washed and dry")
	p.WaitForText("Bags 1B, 2B, 3B, 4B, 5B washed and dry")
	t.Logf("%d taps for a tub of 5 bags: %d cold and %d hot baths, one more after a tinted rag", taps, cold, hot)
	repeatAtHalfSize(t, h, p, q, "/"+scope)
}

// calendarOnPhone makes the calendar of a place on the phone.
const calendarOnPhone = `(async () => {
	const {makeCalendar} = await appModule('/journal/views.js');
	return (await makeCalendar({place: %q})).text;
})()`

// repeatAtHalfSize rates a bag on a phone while the program is gone; once it is back, the other phone sees
// the rating, repeats the batch with half of the pieces, and the first one sees the new batch.
func repeatAtHalfSize(t *testing.T, h *hubtest.Hub, p, q *phonetest.Phone, batch string) {
	t.Helper()
	bag := phonetest.Evaluate[string](p, fmt.Sprintf(`(async () => {
		const {loadState} = await appModule('/journal/states.js');
		return (await loadState(%q)).bags.find((b) => b.number === 1).id;
	})()`, strings.TrimPrefix(batch, "/")))
	p.GoTo("/bag/" + strings.TrimPrefix(batch, "/batch/") + "/" + bag + "/result")
	p.Tap("Overall: 4")
	p.WaitForText("overall 4 of 5")
	h.Start()
	p.WaitForSync()
	hubtest.WaitUntil(t, "the rating", func() bool { return h.CountFacts(journal.KindResultRated) == 1 })
	q.GoTo("/results")
	q.WaitForText("5 found", "4 of 5", "cold market")
	q.GoTo(batch)
	q.Tap("Repeat batch…")
	q.WaitForText("how it was done", "as much cloth as then")
	q.Fill("Napkin, spiral", "6")
	q.WaitForText("0.5 times as much cloth as then")
	q.Tap("Start the batch")
	q.WaitForText("batch started", "cold market, again")
	again := phonetest.Evaluate[string](q, `location.pathname`)
	if pieces := q.RecordedBodies(again, journal.KindPieceAdded); len(pieces) != 1 || pieces[0]["count"] != 6.0 || pieces[0]["grams"] != 90.0 {
		t.Errorf("the pieces are %v", pieces)
	}
	// 9 g in 300 mL, as it was mixed, where 26 g/L had been planned; and half of the volume.
	colours := q.RecordedBodies(again, journal.KindColourChosen)
	if len(colours) != 3 || colours[0]["strength"] != 30.0 || colours[0]["ml"] != 150.0 {
		t.Errorf("the colours are %v", colours)
	}
	q.WaitForSync()
	p.GoTo(again)
	p.WaitForText("cold market, again", "540 g dry", "6 pieces to bag")
}

// get reads an address of the program, as the computer itself.
func get(t *testing.T, address string) string {
	t.Helper()
	resp, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s %v %s", address, resp.Status, err, text)
	}
	return string(text)
}

// calendarLine returns the value of a property of the first event.
func calendarLine(text, name string) string {
	_, rest, _ := strings.Cut(text, "\r\n"+name+":")
	value, _, _ := strings.Cut(rest, "\r\n")
	return value
}
