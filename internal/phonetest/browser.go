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

// browserNames are the names that Chromium is installed under.
var browserNames = []string{"chromium", "chromium-browser", "google-chrome"}

// needBrowser skips the test where there is no browser, and fails it with CI set.
func needBrowser(t *testing.T) {
	t.Helper()
	need.Program(t, browserNames...)
}

func browserPath() string {
	for _, name := range browserNames {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// sharedBrowser is the one that trusts nobody beside the public authorities. All
// phones of a package that need no browser of their own are profiles of it.
var sharedBrowser = sync.OnceValues(func() (context.Context, error) {
	browser, stop, err := launchBrowser()
	hubtest.AtEnd(stop)
	return browser, err
})

// launchBrowser starts a browser, which runs until stop is called. It never sets --ignore-certificate-errors: that would hide the very failures that
// matter to an app that must install itself.
func launchBrowser(more ...chromedp.ExecAllocatorOption) (browser context.Context, stop func(), err error) {
	opts := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(browserPath()), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WSURLReadTimeout(hubtest.Patience),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", false),
		chromedp.Flag("lang", "en-GB"), chromedp.Flag("accept-lang", "en-GB"), chromedp.Flag("hide-scrollbars", true))
	alloc, wait := chromedp.NewExecAllocator(context.Background(), append(opts, more...)...)
	browser, _ = chromedp.NewContext(alloc)
	stop = func() {
		chromedp.Cancel(browser)
		wait() // until its folder is removed
	}
	return browser, stop, chromedp.Do(browser)
}
