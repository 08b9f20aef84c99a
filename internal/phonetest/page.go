//go:build unix

package phonetest

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"coldbatch/internal/hubtest"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// slowWait says how long a wait may take before it is logged.
const slowWait = 3 * time.Second

// Do runs actions. It fails the test when they take longer than hubtest.WaitTimeout.
func (p *Phone) Do(steps ...chromedp.Action[chromedp.Void]) {
	p.T.Helper()
	p.Run(func(ctx context.Context) error { return chromedp.Do(ctx, steps...) })
}

// Run runs calls to the browser, as Do runs actions.
func (p *Phone) Run(do func(context.Context) error) {
	p.T.Helper()
	// The first use of a context binds the window to it, so that one has no end.
	if chromedp.FromContext(p.Ctx).Target == nil {
		if err := chromedp.Do(p.Ctx); err != nil {
			p.T.Fatal(err)
		}
	}
	ctx, stop := context.WithTimeout(p.Ctx, hubtest.WaitTimeout)
	defer stop()
	if err := do(ctx); err != nil {
		p.T.Fatal(err)
	}
}

// Evaluate evaluates JavaScript on the page that is open, and waits for a promise.
func Evaluate[T any](p *Phone, js string) T {
	p.T.Helper()
	ctx, stop := context.WithTimeout(p.Ctx, hubtest.WaitTimeout)
	defer stop()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
	if err != nil {
		p.T.Fatalf("%v\nin %s", err, js)
	}
	return got
}

// AddScript has JavaScript run on each page that is loaded from here on, before the
// page's own.
func (p *Phone) AddScript(js string) {
	p.T.Helper()
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: js})
		return err
	})
}

// AdvanceClock sets the phone's clock ahead by d, from the next page on.
func (p *Phone) AdvanceClock(d time.Duration) {
	p.T.Helper()
	p.AddScript(fmt.Sprintf(`{ const Real = Date, by = %d;
		globalThis.Date = class extends Real { constructor(...at) { at.length ? super(...at) : super(Real.now() + by); } static now() { return Real.now() + by; } }; }`, d.Milliseconds()))
}

// Open loads a path and waits until the app has drawn a heading.
func (p *Phone) Open(path string) {
	p.T.Helper()
	p.Do(chromedp.Navigate(p.Base + path))
	p.isOpen = true
	p.WaitFor("the app to start", `document.documentElement.dataset.started === 'yes' && document.querySelector('h1')`)
}

// GoTo goes to another screen within the app, as a link does.
func (p *Phone) GoTo(path string) {
	p.T.Helper()
	Evaluate[bool](p, `appModule('/device/router.js').then(async ({navigate}) => {
		navigate('`+path+`');
		for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
		return true;
	})`)
}

// show loads a path on a phone that has no page yet, and otherwise goes there.
func (p *Phone) show(path string) {
	p.T.Helper()
	if p.isOpen {
		p.GoTo(path)
	} else {
		p.Open(path)
	}
}

// Reload loads the page that is open again.
func (p *Phone) Reload() {
	p.T.Helper()
	p.Open(Evaluate[string](p, `location.pathname`))
}

// WaitFor waits until the JavaScript expression is true.
func (p *Phone) WaitFor(what, js string) {
	p.T.Helper()
	for begin := time.Now(); ; time.Sleep(100 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.Ctx, hubtest.WaitTimeout)
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`(async () => Boolean(await (`+js+`)))()`, chromedp.EvalAwaitPromise))
		stop()
		took := time.Since(begin)
		switch {
		case ok && err == nil && took > slowWait:
			p.T.Logf("waited %v for %s", took.Round(100*time.Millisecond), what)
			return
		case ok && err == nil:
			return
		case took > hubtest.WaitTimeout:
			p.T.Fatalf("waited %v in vain for %s (%v)", hubtest.WaitTimeout, what, err)
		}
	}
}

// WaitForText waits until the screen shows all texts, in whatever case.
func (p *Phone) WaitForText(texts ...string) {
	p.T.Helper()
	for _, text := range texts {
		p.WaitFor(fmt.Sprintf("%q", text), showsText(text))
	}
}

// WaitForNoText waits until the screen no longer shows a text.
func (p *Phone) WaitForNoText(text string) {
	p.T.Helper()
	p.WaitFor(fmt.Sprintf("%q to go", text), "!"+showsText(text))
}

// showsText returns a JavaScript expression that is true if the page shows text; line breaks and
// non-breaking spaces count as spaces.
func showsText(text string) string {
	quoted, _ := json.Marshal(strings.ToLower(text))
	return `document.body.innerText.toLowerCase().replace(/[\s\u00a0\u202f]+/g, ' ').includes(` + string(quoted) + `)`
}

// WaitForDialog waits until a dialog lies over the screen.
func (p *Phone) WaitForDialog() {
	p.T.Helper()
	p.WaitFor("a dialog", `document.querySelector('dialog[open]')`)
}

// CloseDialog closes the dialog by Escape.
func (p *Phone) CloseDialog() {
	p.T.Helper()
	p.Do(chromedp.KeyEvent(kb.Escape))
	p.WaitFor("the dialog to close", `!document.querySelector('dialog[open]')`)
}

// WaitForInstall waits until the app is whole on this phone.
func (p *Phone) WaitForInstall() {
	p.T.Helper()
	p.WaitFor("the app to be installed", `appModule('/device/service-worker.js').then((m) => m.isOfflineReady.value)`)
}

// HideToasts hides what is said at the bottom of the screen, which lasts longer in tests.
func (p *Phone) HideToasts() {
	p.T.Helper()
	p.WaitForInstall() // else the app still has something to say
	p.WaitFor("nothing to be said", `appModule('/device/toast.js').then(({hideToast, toast}) => { hideToast(); return !toast.value && !document.querySelector('.toast'); })`)
}

// WaitForSync waits until the hub has all that the phone wrote.
func (p *Phone) WaitForSync() {
	p.T.Helper()
	p.WaitForText("synced")
}

// Scroll moves the page by JavaScript, and takes the focus from the field that was
// written in.
func (p *Phone) Scroll(js string) {
	p.T.Helper()
	Evaluate[any](p, `{ document.activeElement.blur(); `+js+`; null }`)
}
