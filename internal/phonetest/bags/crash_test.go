//go:build unix

package bags_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"
	"context"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// The core's worker may end under the app: with an error, or without a word, as
// phones end what is in the background. The app starts it again and goes on.
func TestCoreIsStartedAgain(t *testing.T) {
	t.Parallel()
	h := hubtest.Start(t)
	p := phonetest.NewPhone(t, h.URL())
	p.Open("/sums/bottle")
	p.Fill("Volume in each bottle", "2 fl oz")
	p.Fill("Strength", "6.2 g per 8 fl oz")
	p.WaitForText("1.55 g")
	p.AllowComplaint(`^error: core: `)

	runInWorker(p, `self.coldbatchCall = () => { throw new Error("out of memory"); }; 0`)
	p.Fill("Strength", "18 g per 8 fl oz")
	p.WaitForText("4.5 g")

	runInWorker(p, `self.close(); 0`)
	phonetest.Evaluate[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`) // the person comes back
	p.Fill("Strength", "8.1 g per 8 fl oz")
	p.WaitForText("2.03 g")
}

// runInWorker evaluates JavaScript in the core's worker.
func runInWorker(p *phonetest.Phone, js string) {
	p.T.Helper()
	targets, err := chromedp.Targets(p.Ctx)
	if err != nil {
		p.T.Fatal(err)
	}
	for _, target := range targets {
		if target.Type == "worker" && strings.HasPrefix(target.URL, p.Base+"/core/core-worker.js") {
			ctx, stop := chromedp.NewContext(p.Ctx, chromedp.WithTargetID(target.TargetID))
			defer stop()
			p.Run(func(context.Context) error { return chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](js)) })
			return
		}
	}
	p.T.Fatal("the core has no worker")
}
