//go:build unix

package bags_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// Phones end parts of an app that is in the background. The app starts each again and
// goes on.
func TestPartsAreStartedAgain(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.WaitForSync()
	checkStorageIsOpenedAgain(h, p, batch)
	checkCoreIsStartedAgain(p)
}

// checkStorageIsOpenedAgain takes the storage away under the app: it is opened again, and
// what is written just then is kept, once.
func checkStorageIsOpenedAgain(h *hubtest.Hub, p *phonetest.Phone, batch string) {
	p.T.Helper()
	p.AllowError(`^error: storage: `)
	phonetest.Evaluate[bool](p, `(globalThis.had = IDBDatabase.prototype.transaction, true)`)
	p.GoTo(batch + "/bagging")
	for i, why := range []string{
		`IDBDatabase.prototype.transaction = function (...of) { this.close(); return had.apply(this, of); }`, // the connection is dead
		`IDBDatabase.prototype.transaction = function (...of) { const tx = had.apply(this, of); if (tx.mode === 'readwrite') setTimeout(() => { try { tx.abort(); } catch {} }, 0); return tx; }`,
	} {
		phonetest.Evaluate[bool](p, `(() => { let left = 1; `+why+`;
			const broken = IDBDatabase.prototype.transaction;
			IDBDatabase.prototype.transaction = function (stores, mode, ...more) {
				const isWrite = mode === 'readwrite' && stores.includes('facts');
				return (isWrite && left-- > 0 ? broken : had).call(this, stores, mode, ...more);
			};
			return true; })()`)
		p.Tap(fmt.Sprintf("Close bag %d", i+1))
		p.WaitForText(fmt.Sprintf("Bag %d closed", i+1))
		hubtest.WaitUntil(p.T, "the bag on the hub", func() bool { return h.CountFacts(journal.KindBagClosed) == i+1 })
		p.WaitForSync()
	}
}

// checkCoreIsStartedAgain ends both workers of the core, once with an error and once silently.
func checkCoreIsStartedAgain(p *phonetest.Phone) {
	p.T.Helper()
	p.GoTo("/sums/bottle")
	p.Fill("Volume in each bottle", "2 fl oz")
	p.Fill("Strength", "6.2 g per 8 fl oz")
	p.WaitForText("1.55 g")
	p.AllowError(`^error: (core|extra): `)

	runInWorkers(p, `self.coldbatchCall = () => { throw new Error("out of memory"); }; 0`)
	p.Fill("Strength", "18 g per 8 fl oz")
	p.WaitForText("4.5 g")

	runInWorkers(p, `self.close(); 0`)
	phonetest.Evaluate[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`) // the person comes back
	p.Fill("Strength", "8.1 g per 8 fl oz")
	p.WaitForText("2.03 g")
}

// runInWorkers evaluates JavaScript in the workers of the core and of its extra part.
func runInWorkers(p *phonetest.Phone, js string) {
	p.T.Helper()
	targets, err := chromedp.Targets(p.Ctx)
	if err != nil {
		p.T.Fatal(err)
	}
	count := 0
	for _, target := range targets {
		if target.Type == "worker" && strings.HasPrefix(target.URL, p.Base+"/core/core-worker.js") {
			ctx, stop := chromedp.NewContext(p.Ctx, chromedp.WithTargetID(target.TargetID))
			defer stop()
			p.Run(func(context.Context) error { return chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](js)) })
			count++
		}
	}
	if count != 2 {
		p.T.Fatalf("%d workers run", count)
	}
}
