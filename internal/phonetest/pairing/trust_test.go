//go:build unix

package pairing_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// A phone that does not trust the house's authority gets help and no service
// worker, also where its owner clicks the warning away: it is told what that is not
// enough for, and what to do.
func TestUntrusted(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	p := phonetest.NewPhoneIn(t, phonetest.TrustingChromium(t, ""), h.AppURL())
	p.AllowError(`ERR_CERT|SSL certificate|service worker`)
	_ = chromedp.Do(p.Ctx, chromedp.Navigate(h.AppURL()+"/check")) // the browser's own warning counts as a failure
	p.WaitFor("the browser's warning", `document.body.innerText.includes('ERR_CERT_AUTHORITY_INVALID')`)
	p.Do(chromedp.KeyEvent("thisisunsafe")) // what a person in a hurry finds on the web
	p.WaitFor("the app", `document.documentElement.dataset.started === 'yes' && location.protocol === 'https:'`)
	p.WaitForText("This phone does not trust your hub yet", "Check again", "Does not work offline")
	p.WaitForNoText("Pair this phone")
	p.AuditAppearances("without trust")
	p.WaitFor("no worker", `navigator.serviceWorker.getRegistrations().then(all => all.length === 0)`)
	p.GoTo("/")
	p.WaitForText("This phone does not trust the hub yet: it cannot work offline")
	p.SetAppearance("dark", 390, 844, 16)
	p.Audit("today, without trust")
}

// A phone that trusts it has the app at the one origin, whole and installable: it
// works with the program stopped, and with a network that takes and gives nothing.
func TestTrusted(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	p := phonetest.NewPhoneIn(t, phonetest.TrustingChromium(t, h.AuthorityFile()), h.AppURL())
	p.Open("/")
	p.WaitForInstall()
	p.Run(func(ctx context.Context) error {
		got, err := chromedp.Call(ctx, page.GetInstallabilityErrors, cdp.Empty{})
		for _, e := range got.InstallabilityErrors {
			// A profile of its own counts as a private window, which installs nothing.
			if e.ErrorID != "in-incognito" {
				t.Errorf("not to be installed: %s %v", e.ErrorID, e.ErrorArguments)
			}
		}
		return err
	})
	p.GoTo("/check")
	p.WaitForText("trusts")

	p.AllowNetworkErrors()
	h.Stop()
	p.Open("/")
	p.WaitForText("Today")
	p.GoTo("/sums/bottle")
	p.WaitForText("Dye for a bottle")

	h.Start()
	h.Freeze()
	defer h.Thaw()
	p.Open("/batches")
	p.WaitForText("Batches")
}
