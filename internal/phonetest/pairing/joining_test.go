package pairing_test

import (
	"log"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"coldbatch/internal/web"
	"coldbatch/static"
)

// joiningPage serves the joining page alone, of a hub whose https is reached
// nowhere, and writes down what is asked of it.
func joiningPage(t *testing.T) (base string, requests func() string) {
	t.Helper()
	port := hubtest.FreePort(t)
	_, page, err := web.New(web.App{
		Static:  static.Files,
		Network: func() web.Network { return web.Network{Host: "coldbatch.local", HTTPSPort: port, HTTPPort: 8090} },
		Log:     log.New(failOnLog{t}, "", 0),
	})
	if err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var all strings.Builder
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		mu.Lock()
		r.Write(&all) // as it came over the wire
		mu.Unlock()
		page.ServeHTTP(w, r)
	}))
	t.Cleanup(srv.Close)
	return srv.URL, func() string {
		mu.Lock()
		defer mu.Unlock()
		return all.String()
	}
}

// The joining page leads step by step, and a code behind the # of its address goes
// into links of https and onto the screen, never over the wire.
func TestJoiningPage(t *testing.T) {
	need.CI(t)
	t.Parallel()
	base, requests := joiningPage(t)
	for _, kind := range []string{"iphone", "android", "computer"} {
		p := phonetest.NewPhone(t, base)
		p.AllowError(`net::ERR_|another origin: https://[a-z0-9.]+:\d+/healthz$`) // it looks whether https is reached
		open := func() {
			p.Do(chromedp.Navigate("about:blank"), chromedp.Navigate(base+"/?for="+kind+"#k7m2q9x4ttrw9abc"))
		}
		open()
		p.WaitFor("one step alone", `document.querySelectorAll('.step:not([hidden])').length === 1`)
		p.WaitForText("Step 1 of", "Get the certificate")
		for step, last := 1, false; !last; step++ {
			checkFit(t, p, kind)
			if step == 2 { // the person goes to Settings, and the browser forgets the page
				open()
				p.WaitForText("Step 2 of")
				phonetest.Evaluate[bool](p, `document.getElementById('back').click() || true`)
				p.WaitForText("Step 1 of")
				phonetest.Evaluate[bool](p, `document.getElementById('next').click() || true`)
				p.WaitForText("Step 2 of")
			}
			last = phonetest.Evaluate[bool](p, `document.getElementById('next').hidden`)
			if !last {
				phonetest.Evaluate[bool](p, `document.getElementById('next').click() || true`)
			}
		}
		p.WaitForText("K7M2-Q9X4-TTRW-9ABC")
		if kind != "iphone" {
			p.WaitFor("the way on to carry the code", `/^https:\/\/coldbatch\.local:\d+\/join\/K7M2Q9X4TTRW9ABC$/.test(document.querySelector('a.join').href)`)
		}
		p.WaitFor("another kind of phone to keep the code", `[...document.querySelectorAll('.device-kinds a')].every((a) => a.hash === '#k7m2q9x4ttrw9abc')`)
		phonetest.Evaluate[bool](p, `document.querySelectorAll('details > summary').forEach((s) => s.click()) || true`)
		p.WaitForText("cannot vouch for anything else", "How to remove it", "not on the guest Wi-Fi")
		checkFit(t, p, kind)
	}
	if got := strings.ToUpper(requests()); strings.Contains(got, "K7M2") || !strings.Contains(got, "GET /?FOR=IPHONE") {
		t.Errorf("over the wire went\n%s", got)
	}
}

// checkFit checks that what is tapped is high enough for a glove, and that twice the
// text size loses nothing to the side.
func checkFit(t *testing.T, p *phonetest.Phone, what string) {
	t.Helper()
	low := phonetest.Evaluate[string](p, `[...document.querySelectorAll('button, a.button, a.chip, summary')].filter((e) => e.offsetParent && e.getBoundingClientRect().height < 56).map((e) => e.innerText).join()`)
	wide := phonetest.Evaluate[int](p, `(() => {
		const root = document.documentElement;
		root.style.fontSize = '225%';
		const wide = root.scrollWidth - innerWidth;
		root.style.fontSize = '';
		return wide;
	})()`)
	if low != "" || wide > 0 {
		t.Errorf("%s: too low to tap: %q; wider than the phone by %d", what, low, wide)
	}
}

// failOnLog fails the test on what the program logs: it logs its own faults only.
type failOnLog struct{ t *testing.T }

func (l failOnLog) Write(b []byte) (int, error) {
	l.t.Errorf("logged: %s", b)
	return len(b), nil
}
