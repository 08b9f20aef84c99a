//go:build unix

package bags_test

import (
	"os"
	"path/filepath"
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// What fails is said where the person is, and nothing that was typed is dropped: the
// letters of a cap that the core does not suggest, a temperature that does not read, a
// photo that is no picture, and an undo that the storage refuses.
func TestFailuresAreShown(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p, base := phonetest.StartPlanned(t)

	phonetest.Evaluate[bool](p, `(() => {
		const post = Worker.prototype.postMessage;
		Worker.prototype.postMessage = function (message, ...more) {
			return post.call(this, message?.name === 'caps.choose' ? {...message, name: 'no.such'} : message, ...more);
		};
		return true;
	})()`)
	p.GoTo(base + "/colours")
	p.Tap("violet")
	p.Fill("Strength at full depth", "30 g/L")
	p.WaitForText("The core has no call", "Type the letters on the cap yourself")
	p.Fill("Letters on the cap", "VI")
	p.Tap("Add violet")
	p.WaitForText("Violet added")

	p.GoTo(base + "/bagging")
	p.Tap("Other colours")
	p.Tap("violet…")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed")
	p.Tap("Label of bag 1")
	p.Tap("Close")
	p.Tap("Move bag")
	p.Fill("Temperature there", "abc")
	p.Tap("Moved")
	p.WaitForText("is not a temperature")
	if moved := p.RecordedBodies(base, journal.KindBagMoved); len(moved) != 0 {
		t.Fatalf("a move was recorded without its temperature: %v", moved)
	}
	p.Fill("Temperature there", "25")
	p.Tap("Moved")
	p.WaitForText("Bag 1 moved")
	// The disk is full from the touch on: a sync in the background that failed before it
	// would put its own message in place of the button.
	phonetest.Evaluate[bool](p, `(globalThis.put = IDBObjectStore.prototype.put,
		addEventListener('pointerdown', () => {
			IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };
		}, {capture: true, once: true}), true)`)
	p.Tap("Undo")
	p.WaitForText("this was not saved: free some space") // in the line at the bottom, with the hint behind it
	phonetest.Evaluate[bool](p, `(IDBObjectStore.prototype.put = globalThis.put, true)`)
	if moved := p.RecordedBodies(base, journal.KindBagMoved); len(moved) != 1 || moved[0]["celsius"] != 25.0 {
		t.Errorf("recorded is %v after an undo that failed, a move to 25 °C was wanted", moved)
	}

	name := filepath.Join(t.TempDir(), "notes.jpg")
	if err := os.WriteFile(name, []byte("not a picture"), 0o600); err != nil {
		t.Fatal(err)
	}
	p.ChoosePhoto(name)
	p.WaitForText("This picture cannot be read")
	p.Audit("no picture")
}
