//go:build unix

package bags_test

import (
	"fmt"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// Two windows of one phone share its journal: they write at the same moment, also when
// neither gets the lock in time, no two bags get one number, and each entry reaches the hub
// once.
func TestTwoWindows(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.WaitForSync()
	other := p.NewWindow()
	const each = 6 // half of them with the lock
	closing := fmt.Sprintf(`Promise.all([appModule('/journal/journal.js'), appModule('/journal/states.js')]).then(async ([{closeBag}, {loadState}]) => {
		const {id, pieces, colours} = await loadState(%q);
		const bag = {pieces: [{piece: pieces[0].id, count: 1}], colours: [{colour: colours[0].id}]};
		const closeBags = () => Promise.all(Array.from({length: %d}, () => closeBag(id, bag)));
		globalThis.closing = closeBags().then(() => {
			navigator.locks.request = async () => { throw new DOMException("signal timed out", "TimeoutError"); };
			return closeBags();
		});
		return true;
	})`, batch[1:], each/2)
	for _, w := range []*phonetest.Phone{p, other} {
		w.Open(batch)
	}
	for _, w := range []*phonetest.Phone{p, other} {
		phonetest.Evaluate[bool](w, closing)
	}
	for _, w := range []*phonetest.Phone{p, other} {
		phonetest.Evaluate[bool](w, `globalThis.closing.then(() => true)`)
	}
	hubtest.WaitUntil(t, "all bags on the hub", func() bool { return h.CountFacts(journal.KindBagClosed) == 2*each })
	seen := map[string]bool{}
	for _, f := range h.Facts() {
		if b, ok := journal.DecodeBody[journal.BagClosed](f); ok && f.Kind == journal.KindBagClosed {
			seen[fmt.Sprint(b.Number, b.Letter)] = true
		}
	}
	if len(seen) != 2*each {
		t.Errorf("%d bags have the numbers %v", 2*each, seen)
	}
	for _, w := range []*phonetest.Phone{p, other} {
		w.WaitForSync()
	}
}
