//go:build unix

package phonetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/need"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// Phone is a window of a browser of phone size. Each phone has storage of its own;
// the test fails on whatever the console, the content policy or the network
// complains of, unless AllowError named it.
type Phone struct {
	T    *testing.T
	Ctx  context.Context // of its window
	Base string          // origin of the app

	Taps, Typed int // how often a control was tapped and a field was written in

	isOpen bool // a page of the app was loaded

	mu            sync.Mutex
	browserErrors []string
	allowedErrors []*regexp.Regexp
	isLogged      bool // the screen of the first fault was logged
}

// NewPhone returns a new phone for the app at base. It opens no page yet.
func NewPhone(t *testing.T, base string) *Phone {
	t.Helper()
	need.Program(t, headlessNames...)
	browser, err := sharedBrowser()
	if err != nil {
		t.Fatal(err)
	}
	return NewPhoneIn(t, browser, base)
}

// longToasts keeps a toast, and its Undo, for 40 s rather than 8: on a busy machine a test
// may need longer than a hand does.
const longToasts = `{ const real = setTimeout; globalThis.setTimeout = (f, ms, ...args) => real(f, ms === 8000 ? 40000 : ms, ...args); }`

// NewPhoneIn is NewPhone in a browser of the test's own.
func NewPhoneIn(t *testing.T, browser context.Context, base string) *Phone {
	t.Helper()
	ctx, _ := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	return newWindow(t, ctx, base)
}

// NewWindow opens another window on the same phone: it shares the storage.
func (p *Phone) NewWindow() *Phone {
	p.T.Helper()
	ctx, _ := chromedp.NewContext(p.Ctx)
	w := newWindow(p.T, ctx, p.Base)
	w.allowedErrors = p.allowedErrors
	return w
}

func newWindow(t *testing.T, ctx context.Context, base string) *Phone {
	t.Helper()
	p := &Phone{T: t, Ctx: ctx, Base: base}
	t.Cleanup(p.Close)
	p.AllowError(`start: nothing after`) // boot.js, on a busy machine; Open wants the app to start
	p.Do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait, chromedp.EmulateScale(2)))
	p.Run(func(ctx context.Context) error {
		_, zone := chromedp.Call(ctx, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/Lisbon"})
		_, locale := chromedp.Call(ctx, emulation.SetLocaleOverride, emulation.SetLocaleOverrideParams{Locale: "en-GB"})
		// Each window acts as the one in front, also while other tests use theirs.
		_, focus := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return errors.Join(zone, locale, focus)
	})
	p.AddScript(appModule)
	p.AddScript(longToasts)
	p.AddScript(countPrints)
	p.collectErrors()
	return p
}

// appModule defines appModule(path): the module of the running app that static has under
// that path, as a promise. In the bundle a module has no address that could be imported.
const appModule = `globalThis.appModule = async (path) => {
	const {modules} = await import(location.origin + '/main.js');
	if (!modules[path]) throw new Error(path + ' is not listed in static/modules.js');
	return modules[path];
};`

// collectErrors collects every complaint, and every request to another origin.
func (p *Phone) collectErrors() {
	console := chromedp.Console(p.Ctx)
	requests := chromedp.Events(p.Ctx, network.RequestWillBeSent)
	go func() {
		for m, err := range console {
			if err != nil {
				return
			}
			if m.IsException() || m.Type == chromedp.ConsoleError || m.Type == chromedp.ConsoleWarning {
				p.addError(fmt.Sprintf("%s: %s (%s)", m.Type, m.Text, m.URL))
			}
		}
	}()
	go func() {
		for r, err := range requests {
			if err != nil {
				return
			}
			if u := r.Request.URL; !strings.HasPrefix(u, p.Base+"/") && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "blob:"+p.Base) {
				p.addError("a request to another origin: " + u)
			}
		}
	}()
}

func (p *Phone) addError(s string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.allowedErrors {
		if f.MatchString(s) {
			return
		}
	}
	p.browserErrors = append(p.browserErrors, s)
}

// AllowError lets complaints pass that match a regular expression.
func (p *Phone) AllowError(pattern string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.allowedErrors = append(p.allowedErrors, regexp.MustCompile(pattern))
}

// AllowNetworkErrors says that the program cannot be reached from here on: the browser
// itself then complains of each request that fails.
func (p *Phone) AllowNetworkErrors() {
	p.AllowError(`net::ERR_(CONNECTION|EMPTY|INCOMPLETE|NETWORK|TIMED)|fetching the script`)
}

// BlockSync keeps the phone's journal and the program's apart: the phone reaches the
// program, and exchanges nothing with it.
func (p *Phone) BlockSync() {
	p.T.Helper()
	p.AllowError(`ERR_BLOCKED_BY_CLIENT|exchange`)
	p.blockURLs(&network.BlockPattern{URLPattern: "*://*:*/api/v1/exchange", Block: true})
}

// UnblockSync ends BlockSync.
func (p *Phone) UnblockSync() { p.blockURLs() }

// GoOffline cuts the phone off from the program: it reaches nothing that needs it. GoOnline brings it back, and the
// browser says so as when a phone is back in its network.
func (p *Phone) GoOffline() {
	p.T.Helper()
	p.AllowError(`ERR_BLOCKED_BY_CLIENT|exchange|events`)
	p.blockURLs(&network.BlockPattern{URLPattern: "*://*:*/api/*", Block: true})
}

func (p *Phone) GoOnline() {
	p.T.Helper()
	p.blockURLs()
	Evaluate[bool](p, `dispatchEvent(new Event('online'))`)
}

func (p *Phone) blockURLs(patterns ...*network.BlockPattern) {
	p.T.Helper()
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, network.SetBlockedURLs, network.SetBlockedURLsParams{URLPatterns: patterns})
		return err
	})
}

// CheckFocus fails the test if the focus is on nothing: a screen reader would begin at the top again.
func (p *Phone) CheckFocus(where string) {
	p.T.Helper()
	p.WaitFor("the focus on a control or a heading, "+where, `document.activeElement && document.activeElement !== document.body`)
}

// Close closes the window; the end of the test does so by itself.
func (p *Phone) Close() {
	if p.T.Failed() {
		p.logScreen()
	}
	p.mu.Lock()
	for _, s := range p.browserErrors {
		p.T.Errorf("the browser complains: %s", s)
	}
	p.browserErrors = nil
	p.mu.Unlock()
	if err := chromedp.Cancel(p.Ctx); err != nil && !errors.Is(err, context.Canceled) {
		p.T.Logf("close: %v", err)
	}
}

// logScreen logs what the screen shows.
func (p *Phone) logScreen() {
	ctx, stop := context.WithTimeout(p.Ctx, 5*time.Second)
	defer stop()
	text, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`location.pathname + "\n" + document.body.innerText`))
	p.T.Logf("on the screen:\n%s", text)
	if picture, err := chromedp.Run(ctx, chromedp.CaptureScreenshot()); err == nil {
		name := filepath.Join(p.T.ArtifactDir(), "screen.png")
		if os.WriteFile(name, picture, 0o644) == nil {
			p.T.Logf("as a picture: %s (go test -artifacts keeps it)", name)
		}
	}
}
