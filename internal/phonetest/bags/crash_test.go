//go:build unix

package main

import (
	"context"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// The core's worker may end under the app: with an error, or without a word, as
// phones end what is in the background. The app starts it again and goes on.
func TestCoreIsStartedAgain(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/sums/bottle")
	p.fill("Volume in each bottle", "2 fl oz")
	p.fill("Strength", "6.2 g per 8 fl oz")
	p.see("1.55 g")
	p.allow(`^error: core: `)

	p.inWorker(`self.coldbatchCall = () => { throw new Error("out of memory"); }; 0`)
	p.fill("Strength", "18 g per 8 fl oz")
	p.see("4.5 g")

	p.inWorker(`self.close(); 0`)
	asked[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`) // the person comes back
	p.fill("Strength", "8.1 g per 8 fl oz")
	p.see("2.03 g")
}

// inWorker evaluates JavaScript in the core's worker.
func (p *phone) inWorker(js string) {
	p.t.Helper()
	targets, err := chromedp.Targets(p.ctx)
	if err != nil {
		p.t.Fatal(err)
	}
	for _, target := range targets {
		if target.Type == "worker" && strings.HasPrefix(target.URL, p.base+"/core/core-worker.js") {
			ctx, stop := chromedp.NewContext(p.ctx, chromedp.WithTargetID(target.TargetID))
			defer stop()
			p.call(func(context.Context) error { return chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](js)) })
			return
		}
	}
	p.t.Fatal("the core has no worker")
}
