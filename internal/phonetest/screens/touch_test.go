//go:build unix

package screens_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// countActs counts what taps do: acts that recorded facts, screens and dialogs that opened,
// dialogs that closed.
const countActs = `{
	globalThis.did = {screens: 0, opened: 0, closed: 0};
	const watch = (of, name, count) => {
		const own = of[name];
		of[name] = function (...args) { did[count]++; return own.apply(this, args); };
	};
	watch(History.prototype, 'pushState', 'screens');
	watch(HTMLDialogElement.prototype, 'showModal', 'opened');
	watch(HTMLDialogElement.prototype, 'close', 'closed');
}`

// done says how often something was done since the page was loaded.
type done struct{ Records, Facts, Screens, Opened, Closed int }

func countDone(p *phonetest.Phone) done {
	p.T.Helper()
	return phonetest.Evaluate[done](p, `(async () => {
		const {factsRecorded} = await appModule('/journal/changes.js'), {allFacts} = await appModule('/journal/facts.js');
		return {records: factsRecorded.value, facts: (await allFacts()).length, ...did};
	})()`)
}

func (d done) since(before done) done {
	return done{d.Records - before.Records, d.Facts - before.Facts, d.Screens - before.Screens, d.Opened - before.Opened, d.Closed - before.Closed}
}

// digits are replaced when controls of one kind are tried once.
var digits = regexp.MustCompile(`[0-9]+`)

// sampleStep says how many controls there are for each that is tried; with COLDBATCH_LONG all are.
const sampleStep = 10

// openForm taps what opens a form until its act is there: going back from the form before, which
// the browser does a moment later, may close the new one on a busy machine.
func openForm(p *phonetest.Phone, steps []string, act string) {
	begin := strings.TrimSuffix(act, "…")
	isThere := func(name string) bool { return strings.HasPrefix(name, begin) }
	for range 3 {
		for _, step := range steps {
			p.Tap(step)
		}
		for end := time.Now().Add(5 * time.Second); time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
			if slices.ContainsFunc(p.ListActs(), isThere) {
				return
			}
		}
	}
}

// A wet glove taps twice or three times. Controls of every screen are tapped so, at the
// phone's own speed and four times slower, and at most one thing happens: one act records facts,
// or one screen opens, or one dialog opens and stays.
func TestOneTouchOneAct(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p := phonetest.Start(t, "--example")
	p.WaitForText("open batches")
	p.AddScript(countActs)
	p.AllowError(`404 \(Not Found\) \(\S+/api/v1/bag/`) // the example is not in the hub
	p.AllowError(`writeText`)                           // a browser without a person lets nothing be copied
	p.Open("/")
	p.WaitForText("open batches")
	ids := phonetest.Evaluate[struct{ Batch, Planned, Bag, Wet, Place, Stock, Code string }](p, exampleIDs)
	planned, batch := "/batch/"+ids.Planned, "/batch/"+ids.Batch
	tried := map[string]bool{}
	step, seen := sampleStep, 0
	if os.Getenv("COLDBATCH_LONG") != "" {
		step = 1
	}
	acts, tapped := 0, 0
	try := func(path string, open []string, name string) {
		slow := acts%2 == 1
		acts++
		p.GoTo("/nowhere")
		p.GoTo(path)
		for _, step := range open {
			p.Tap(step)
		}
		p.WaitForRest()
		key := digits.ReplaceAllString(name, "0")
		found := false
		for end := time.Now().Add(10 * time.Second); !found && time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
			for _, n := range p.ListActs() { // the time in its name may have gone on
				if digits.ReplaceAllString(n, "0") == key {
					name, found = n, true
				}
			}
		}
		if !found {
			t.Logf("%q of %s is gone: an act before it did that", name, path)
			return
		}
		tapped++
		before := countDone(p)
		if slow {
			p.SlowDown(4)
		}
		gaps := []time.Duration{150 * time.Millisecond, 250 * time.Millisecond}
		if acts%3 == 0 {
			gaps = []time.Duration{600 * time.Millisecond}
		}
		p.TapQuickly(name, gaps...)
		p.WaitForRest()
		if slow {
			p.SlowDown(1)
		}
		did := countDone(p).since(before)
		where := fmt.Sprintf("%s %q of %s, tapped %d times", strings.Join(open, ", "), name, path, len(gaps)+1)
		if did.Records > 1 || did.Screens > 1 || did.Opened > 1 || did.Opened == 1 && did.Closed > 0 || did.Screens > 0 && did.Opened > 0 {
			t.Errorf("%s: %+v happened", where, did)
		}
	}
	for _, act := range []struct {
		path string
		open []string
		name string
		kind string // of the facts that it records, one each time
	}{
		{planned + "/pieces", []string{"Tote bag"}, "Add 1 to the batch", journal.KindPieceAdded},
		{planned + "/colours", []string{"violet"}, "Add violet", journal.KindColourChosen},
		{batch + "/bagging", nil, "Close bag…", journal.KindBagClosed},
	} {
		count := func() int {
			return len(p.RecordedBodies(strings.TrimSuffix(act.path, act.path[strings.LastIndex(act.path, "/"):]), act.kind))
		}
		for _, times := range [][]time.Duration{{300 * time.Millisecond}, {200 * time.Millisecond, 200 * time.Millisecond}} {
			before := count()
			p.GoTo("/nowhere")
			p.GoTo(act.path)
			openForm(p, act.open, act.name)
			p.SlowDown(4)
			p.TapQuickly(act.name, times...)
			p.WaitForRest()
			p.SlowDown(1)
			if after := count(); after != before+1 {
				t.Errorf("%s of %s, tapped %d times, recorded %d facts %s", act.name, act.path, len(times)+1, after-before, act.kind)
			}
		}
	}
	// Not tried: what leaves the app or takes the example away, and what presses itself once it is scrolled to.
	left := regexp.MustCompile(`^(Close( the)? example|Save a file|Show more: .*)$`)
	for _, path := range []string{"/", "/batches", batch, planned, planned + "/pieces", planned + "/colours", planned + "/soak", batch + "/soak",
		planned + "/jugs", batch + "/bagging", planned + "/bagging", batch + "/labels", batch + "/history", batch + "/share", "/bag/" + ids.Batch + "/" + ids.Bag,
		"/bag/" + ids.Batch + "/" + ids.Wet, "/bag/" + ids.Batch + "/" + ids.Wet + "/result", "/bag/" + ids.Batch + "/" + ids.Wet + "/why",
		batch + "/again", batch + "/compare", "/results", "/squeeze", "/stock/" + ids.Stock, "/b/" + ids.Code, "/scan", "/sums", "/sums/soak", "/shelf", "/place/" + ids.Place, "/phone"} {
		p.GoTo(path)
		p.WaitForRest()
		names := p.ListActs()
		for before := []string{}; !slices.Equal(names, before); names = p.ListActs() { // some are loaded after the heading
			before = names
			time.Sleep(500 * time.Millisecond)
		}
		for _, name := range names {
			if key := digits.ReplaceAllString(name, "0"); !tried[key] && !left.MatchString(name) {
				tried[key] = true
				if seen++; seen%step == 0 {
					try(path, nil, name)
				}
			}
		}
	}
	if tapped < acts*3/4 {
		t.Errorf("only %d of %d controls were there to be tapped", tapped, acts)
	}
}
