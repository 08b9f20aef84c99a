//go:build unix

package pairing_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// Somebody hands the owner a journal to look at, with entries in the name of the owner's phone:
// one opens the batch to a code that the forger knows, one removes a phone, one gives all bag numbers away, and one
// begins the batch again, so that its printed labels would lead nowhere. The owner's phone takes the rest of it and
// sends nothing of these, neither now nor when it sends all again; the batch keeps its secret.
func TestForgedFileOnThePhone(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, base := phonetest.StartPlanned(t)
	p.WaitForSync()
	text := phonetest.Evaluate[string](p, fmt.Sprintf(`Promise.all([appModule('/core/core.js'), appModule('/journal/journal.js')]).then(async ([{call}, {deviceId}]) => {
		const scope = %q, device = await deviceId(), [place] = await call('id.new', {n: 1});
		const {facts} = await call('facts.write', {
			author: {device, seen: '0000000000000000', now: Date.now(), tz: 'UTC', offset: 0, measured: 0},
			drafts: [
				{scope, subject: scope.slice('batch/'.length), kind: 'share.opened', body: {hash: '0'.repeat(64)}},
				{scope: 'house', subject: device, kind: 'device.revoked', body: {}},
				{scope, subject: scope.slice('batch/'.length), kind: 'numbers.leased', body: {device: place, from: 1, to: 1023}},
				{scope, subject: scope.slice('batch/'.length), kind: 'batch.started', body: {name: 'x', secret: place}},
				{scope: 'place/' + place, subject: place, kind: 'place.named', body: {name: 'far porch'}},
			],
		});
		return JSON.stringify({coldbatch: 'facts', version: 1, facts});
	})`, base[1:]))
	file := filepath.Join(t.TempDir(), "look.json")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	// The batch is finished: the phone keeps it apart from the open ones, and its labels lead to its bags all the same.
	phonetest.Evaluate[bool](p, fmt.Sprintf(`appModule('/journal/journal.js').then(({record}) =>
		record([{scope: %q, subject: %q, kind: 'batch.finished', body: {}}])).then(() => true)`, base[1:], base[len("/batch/"):]))
	secret := fmt.Sprintf(`appModule('/journal/states.js').then(({loadBatches}) => loadBatches('all')).then(all => all.find(b => b.id === %q).secret)`, base[len("/batch/"):])
	before := phonetest.Evaluate[string](p, secret)
	p.GoTo("/phone")
	p.Do(chromedp.SetUploadFiles(chromedp.CSS("input[type=file]"), []string{file}))
	p.WaitForText("5 entries read, 1 of them new; left out, because a file may not decide who has access or restart a batch: 4")
	phonetest.Evaluate[bool](p, `appModule('/journal/facts.js').then(({markAllUnsent}) => markAllUnsent({})).then(() => true)`)
	p.Reload()
	hubtest.WaitUntil(t, "the place on the hub", func() bool { return h.CountFacts(journal.KindPlaceNamed) == 2 })
	p.WaitForSync()
	if after := phonetest.Evaluate[string](p, secret); before == "" || after != before {
		t.Errorf("the secret is %q, was %q", after, before)
	}
	if n := h.CountFacts(journal.KindBatchStarted); n != 1 {
		t.Errorf("the hub holds %d starts", n)
	}
	for _, kind := range []string{journal.KindShareOpened, journal.KindDeviceRevoked} {
		if n := h.CountFacts(kind); n != 0 {
			t.Errorf("the hub holds %d of %s", n, kind)
		}
	}
}
