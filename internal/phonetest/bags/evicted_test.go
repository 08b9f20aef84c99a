//go:build unix

package bags_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// In the middle of a batch the phone has no room left, and then the browser evicts all that the
// app stored. What could not be saved is said and is nowhere; what was saved comes back from the
// program; no bag is there twice, and no number is given twice.
func TestStorageFullAndEvictedDuringABatch(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed", "Close bag 2")
	p.WaitForSync()

	p.AllowError(`this phone is full`) // of the exchange, which writes too
	phonetest.Evaluate[bool](p, `(IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); }, true)`)
	p.Tap("Close bag 2")
	p.WaitForText("this phone is full, so this was not saved")
	p.Reload() // there is room again
	p.WaitForText("Close bag 2")
	if n := h.CountFacts(journal.KindBagClosed); n != 1 {
		t.Errorf("the program has %d bags, and one was saved", n)
	}

	p.Do(chromedp.Navigate("about:blank")) // a browser deletes what a page stored once that is closed
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: p.Base,
			StorageTypes: "indexeddb,cache_storage,service_workers,local_storage"})
		return err
	})
	p.Open(batch + "/bagging") // it is a new phone to the program, and gets numbers of its own
	p.Tap("Close bag 21")
	p.WaitForText("Bag 21 closed")
	hubtest.WaitUntil(t, "its bag on the program", func() bool { return h.CountFacts(journal.KindBagClosed) == 2 })
	p.Reload()
	p.WaitForText("Close bag 22")
}
