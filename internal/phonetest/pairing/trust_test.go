//go:build unix

package main

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// A phone that does not trust the house's authority gets help and no service
// worker, also where its owner clicks the warning away.
func TestUntrusted(t *testing.T) {
	h := newHome(t)
	p := phoneOf(t, trusting(t, ""), h.secure())
	p.allow(`ERR_CERT|SSL certificate|service worker`)
	_ = chromedp.Do(p.ctx, chromedp.Navigate(h.secure()+"/")) // the browser's own warning counts as a failure
	p.wait("the browser's warning", `document.body.innerText.includes('ERR_CERT_AUTHORITY_INVALID')`)
	p.do(chromedp.KeyEvent("thisisunsafe")) // what a person in a hurry finds on the web
	p.wait("the app", `document.documentElement.dataset.started === 'yes' && location.protocol === 'https:'`)
	p.see("does not trust")
	p.wait("no worker", `navigator.serviceWorker.getRegistrations().then(all => all.length === 0)`)
	p.turn("/check")
	p.see("trust")
}

// A phone that trusts it has the app at the one origin, whole and installable: it
// works with the program stopped, and with a network that takes and gives nothing.
func TestTrusted(t *testing.T) {
	h := newHome(t)
	p := phoneOf(t, trusting(t, h.authority()), h.secure())
	p.open("/")
	p.installed()
	p.call(func(ctx context.Context) error {
		got, err := chromedp.Call(ctx, page.GetInstallabilityErrors, cdp.Empty{})
		for _, e := range got.InstallabilityErrors {
			// A profile of its own counts as a private window, which installs nothing.
			if e.ErrorID != "in-incognito" {
				t.Errorf("not to be installed: %s %v", e.ErrorID, e.ErrorArguments)
			}
		}
		return err
	})
	p.open("/check")
	p.see("trusts")

	p.alone()
	h.stop()
	p.open("/")
	p.see("Today")
	p.open("/sums/bottle")
	p.see("Dye for a bottle")

	h.start()
	h.hang()
	defer h.wake()
	p.open("/batches")
	p.see("Batches")
}
