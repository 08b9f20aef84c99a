//go:build unix

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/need"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// patience is how long a phone waits for something to show; a wait longer than
// slow is told.
const (
	patience = 20 * time.Second
	slow     = 3 * time.Second
)

// browser starts the one browser of all tests, or skips where there is none and
// nobody promised one.
func browser(t *testing.T) context.Context {
	t.Helper()
	needBrowser(t)
	ctx, err := startBrowser()
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

func needBrowser(t *testing.T) {
	t.Helper()
	need.Program(t, browsers...)
}

// browsers are the names that Chromium goes by.
var browsers = []string{"chromium", "chromium-browser", "google-chrome"}

func browserPath() string {
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// startBrowser starts the one that trusts nobody beside the public authorities.
var startBrowser = sync.OnceValues(func() (context.Context, error) { return launch() })

// launch starts a browser and has it put away when all tests are done. It never
// sets --ignore-certificate-errors: that would hide the very failures that matter
// to an app that must install itself.
func launch(more ...chromedp.ExecAllocatorOption) (context.Context, error) {
	opts := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(browserPath()), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", false),
		chromedp.Flag("lang", "en-GB"), chromedp.Flag("accept-lang", "en-GB"), chromedp.Flag("hide-scrollbars", true))
	alloc, gone := chromedp.NewExecAllocator(context.Background(), append(opts, more...)...)
	ctx, _ := chromedp.NewContext(alloc)
	atEnd = append(atEnd, func() {
		chromedp.Cancel(ctx)
		gone() // waits until its folder is removed
	})
	return ctx, chromedp.Do(ctx)
}

// phone is a browser of phone size with storage of its own, and a thumb that
// finds things by the name and role that a screen reader would say.
type phone struct {
	t    *testing.T
	ctx  context.Context
	base string

	mu       sync.Mutex
	troubles []string // what the console, the policy or the network complained of
	fine     []*regexp.Regexp
	shot     bool // the screen of the first fault was kept
}

// newPhone opens no page yet.
func newPhone(t *testing.T, base string) *phone {
	t.Helper()
	return phoneOf(t, browser(t), base)
}

// phoneOf is a phone that is a profile of the given browser.
func phoneOf(t *testing.T, browser context.Context, base string) *phone {
	t.Helper()
	ctx, _ := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	return newWindow(t, ctx, base)
}

// window opens another window on the same phone: it shares the storage.
func (p *phone) window() *phone {
	p.t.Helper()
	ctx, _ := chromedp.NewContext(p.ctx)
	w := newWindow(p.t, ctx, p.base)
	w.fine = p.fine
	return w
}

func newWindow(t *testing.T, ctx context.Context, base string) *phone {
	t.Helper()
	p := &phone{t: t, ctx: ctx, base: base}
	p.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait, chromedp.EmulateScale(2)))
	p.call(func(ctx context.Context) error {
		_, zone := chromedp.Call(ctx, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/Lisbon"})
		_, locale := chromedp.Call(ctx, emulation.SetLocaleOverride, emulation.SetLocaleOverrideParams{Locale: "en-GB"})
		return errors.Join(zone, locale)
	})
	p.listen()
	t.Cleanup(p.close)
	return p
}

// listen collects every complaint, and every request to a stranger.
func (p *phone) listen() {
	console := chromedp.Console(p.ctx)
	requests := chromedp.Events(p.ctx, network.RequestWillBeSent)
	go func() {
		for m, err := range console {
			if err != nil {
				return
			}
			if m.IsException() || m.Type == chromedp.ConsoleError || m.Type == chromedp.ConsoleWarning {
				p.complain(fmt.Sprintf("%s: %s (%s)", m.Type, m.Text, m.URL))
			}
		}
	}()
	go func() {
		for r, err := range requests {
			if err != nil {
				return
			}
			if u := r.Request.URL; !strings.HasPrefix(u, p.base+"/") && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "blob:"+p.base) {
				p.complain("a request to another origin: " + u)
			}
		}
	}()
}

func (p *phone) complain(s string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.fine {
		if f.MatchString(s) {
			return
		}
	}
	p.troubles = append(p.troubles, s)
}

// alone tells that the program is not to be reached from here on: then the
// browser itself complains of each request that fails.
func (p *phone) alone() {
	p.allow(`net::ERR_(CONNECTION|EMPTY|INCOMPLETE|NETWORK|TIMED)|fetching the script`)
}

// allow lets complaints pass that match.
func (p *phone) allow(complaint string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.fine = append(p.fine, regexp.MustCompile(complaint))
}

func (p *phone) close() {
	if p.t.Failed() {
		p.tell()
	}
	p.mu.Lock()
	for _, s := range p.troubles {
		p.t.Errorf("the browser complains: %s", s)
	}
	p.mu.Unlock()
	if err := chromedp.Cancel(p.ctx); err != nil {
		p.t.Logf("close: %v", err)
	}
}

// tell shows what stands on the screen when a test fails.
func (p *phone) tell() {
	ctx, stop := context.WithTimeout(p.ctx, 5*time.Second)
	defer stop()
	text, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`location.pathname + "\n" + document.body.innerText`))
	p.t.Logf("on the screen:\n%s", text)
	if picture, err := chromedp.Run(ctx, chromedp.CaptureScreenshot()); err == nil {
		name := filepath.Join(p.t.ArtifactDir(), "screen.png")
		if os.WriteFile(name, picture, 0o644) == nil {
			p.t.Logf("as a picture: %s (go test -artifacts keeps it)", name)
		}
	}
}

// do runs actions, with an end to the waiting.
func (p *phone) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	p.call(func(ctx context.Context) error { return chromedp.Do(ctx, steps...) })
}

func (p *phone) call(do func(context.Context) error) {
	p.t.Helper()
	// The first use of a context binds the tab to it, so that one has no end.
	if chromedp.FromContext(p.ctx).Target == nil {
		if err := chromedp.Do(p.ctx); err != nil {
			p.t.Fatal(err)
		}
	}
	ctx, stop := context.WithTimeout(p.ctx, patience)
	defer stop()
	if err := do(ctx); err != nil {
		p.t.Fatal(err)
	}
}

// asked evaluates JavaScript, waiting for a promise.
func asked[T any](p *phone, js string) T {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, patience)
	defer stop()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("%v\nin %s", err, js)
	}
	return got
}

// open loads a path and waits until the app has drawn a heading.
func (p *phone) open(path string) {
	p.t.Helper()
	p.do(chromedp.Navigate(p.base + path))
	p.wait("the app to start", `document.documentElement.dataset.started === 'yes' && document.querySelector('h1')`)
}

// turn goes to another screen within the app, as a link does.
func (p *phone) turn(path string) {
	p.t.Helper()
	asked[bool](p, `import('/device/router.js').then(async ({go}) => {
		go('`+path+`');
		for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
		return true;
	})`)
}

// reload loads the page that is open again.
func (p *phone) reload() {
	p.t.Helper()
	p.open(asked[string](p, `location.pathname`))
}

// wait polls until the expression is true.
func (p *phone) wait(what, js string) {
	p.t.Helper()
	for begin := time.Now(); ; time.Sleep(40 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.ctx, patience)
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`(async () => Boolean(await (`+js+`)))()`, chromedp.EvalAwaitPromise))
		stop()
		took := time.Since(begin)
		switch {
		case ok && err == nil && took > slow:
			p.t.Logf("%v until it came: %s", took.Round(100*time.Millisecond), what)
			return
		case ok && err == nil:
			return
		case took > patience:
			p.t.Fatalf("in %v it did not come: %s (%v)", patience, what, err)
		}
	}
}

// see waits until all texts stand on the screen, in whatever case.
func (p *phone) see(texts ...string) {
	p.t.Helper()
	for _, text := range texts {
		p.wait(fmt.Sprintf("%q", text), shows(text))
	}
}

// gone waits until a text stands there no more.
func (p *phone) gone(text string) {
	p.t.Helper()
	p.wait(fmt.Sprintf("%q to go", text), "!"+shows(text))
}

// shows is whether a text stands in the page, where line breaks and spaces that
// do not break count as spaces.
func shows(text string) string {
	quoted, _ := json.Marshal(strings.ToLower(text))
	return `document.body.innerText.toLowerCase().replace(/[\s\u00a0\u202f]+/g, ' ').includes(` + string(quoted) + `)`
}

// installed waits until the app is whole on this phone.
func (p *phone) installed() {
	p.t.Helper()
	p.wait("the app to be whole on the phone", `navigator.serviceWorker.getRegistration().then(r => r?.active?.state === 'activated')`)
}

// settled waits until the hub has all that the phone wrote.
func (p *phone) settled() {
	p.t.Helper()
	p.see("hub has all")
}

// later lets the phone's clock run ahead by d, from the next page on.
func (p *phone) later(d time.Duration) {
	p.t.Helper()
	js := fmt.Sprintf(`{ const Real = Date, by = %d;
		globalThis.Date = class extends Real { constructor(...at) { at.length ? super(...at) : super(Real.now() + by); } static now() { return Real.now() + by; } }; }`, d.Milliseconds())
	p.call(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: js})
		return err
	})
}
