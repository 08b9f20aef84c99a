//go:build unix

// Package phonetest drives the phone app in a browser of phone size, as a person
// would: it finds things by the name and the role that a screen reader would say.
// Call NewPhone with the address of a program that hubtest started. The tests stand
// in the folders below, by theme; each package runs them through hubtest.WithCleanup.
package phonetest

import (
	"context"
	"os/exec"
	"slices"
	"sync"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"

	"github.com/chromedp/chromedp"
)

// chromiumNames are the names that Chromium is installed under; headlessNames begins with
// the one that has no windows and toolbars of its own, which needs a third less of the
// machine. The light one neither warns of a certificate nor judges an installation.
var (
	chromiumNames = []string{"chromium", "chromium-browser", "google-chrome"}
	headlessNames = append([]string{"chromium-headless-shell"}, chromiumNames...)
)

// engineFlags keep the JavaScript engine from preparing for a long life: a page of a
// test lives for seconds.
const engineFlags = "--liftoff-only --single-threaded"

// sharedBrowser is the browser that trusts only the public authorities. All
// phones of a package that need no browser of their own are profiles of it.
var sharedBrowser = sync.OnceValues(func() (context.Context, error) {
	browser, stop, err := launchBrowser(headlessNames)
	hubtest.AddCleanup(stop)
	return browser, err
})

// PlainBrowser starts a browser whose engine works as it does on a phone, for a test that measures. Its window is
// as high as the phone's screen: what lies outside is not drawn, and so is late by the browser's event timing.
func PlainBrowser(t *testing.T) context.Context {
	t.Helper()
	need.Program(t, headlessNames...)
	browser, stop, err := launchBrowser(headlessNames, chromedp.Flag("js-flags", false), chromedp.WindowSize(400, 900))
	t.Cleanup(stop)
	if err != nil {
		t.Fatal(err)
	}
	return browser
}

// findProgram returns the path of the first program of those that is installed.
func findProgram(names []string) string {
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// launchBrowser starts a browser of those names, which runs until stop is called. It never sets
// --ignore-certificate-errors: that would hide the very failures that matter to an app
// that must install itself.
func launchBrowser(names []string, more ...chromedp.ExecAllocatorOption) (browser context.Context, stop func(), err error) {
	opts := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.ExecPath(findProgram(names)), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WSURLReadTimeout(hubtest.WaitTimeout),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", false),
		chromedp.Flag("lang", "en-GB"), chromedp.Flag("accept-lang", "en-GB"), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("js-flags", engineFlags))
	alloc, wait := chromedp.NewExecAllocator(context.Background(), append(opts, more...)...)
	browser, _ = chromedp.NewContext(alloc)
	stop = func() {
		chromedp.Cancel(browser)
		wait() // until its folder is removed
	}
	return browser, stop, chromedp.Do(browser)
}
