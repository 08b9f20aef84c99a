package web

import (
	"context"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/unit"
	"coldbatch/static"
)

func newPlainHandler(t *testing.T, a App) http.Handler {
	t.Helper()
	_, h, err := New(a)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Browsers by what they call themselves.
const (
	safariUA         = "User-Agent: Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/19.0 Mobile/15E148 Safari/604.1"
	inAppBrowserUA   = "User-Agent: Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Mobile/15E148"
	chromeOnIOSUA    = "User-Agent: Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) CriOS/142.0 Mobile/15E148 Safari/604.1"
	ipadUA           = "User-Agent: Mozilla/5.0 (iPad; CPU OS 12_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/12.1 Mobile/15E148 Safari/604.1"
	chromeUA         = "User-Agent: Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/142.0.0.0 Mobile Safari/537.36"
	firefoxUA        = "User-Agent: Mozilla/5.0 (Android 15; Mobile; rv:145.0) Gecko/145.0 Firefox/145.0"
	desktopFirefoxUA = "User-Agent: Mozilla/5.0 (X11; Linux x86_64; rv:145.0) Gecko/20100101 Firefox/145.0"
)

// tokensOnly panics at every call except those that a token of their own opens.
type tokensOnly struct{ Hub }

func (tokensOnly) CalendarFeed(ctx context.Context, token string, style unit.Style) (*batchview.CalendarFile, error) {
	return new(fakeHub).CalendarFeed(ctx, token, style)
}

func (tokensOnly) RecordReading(ctx context.Context, token string, celsius float64) error {
	return new(fakeHub).RecordReading(ctx, token, celsius)
}

// What plain http on the network gets: how to come in, and nothing of the house.
func TestPlain(t *testing.T) {
	a := newTestApp(t)
	a.ActiveHub = func() Hub { return tokensOnly{} }
	h := newPlainHandler(t, a)
	const page, json = "text/html; charset=utf-8", "application/json"
	for _, row := range []struct {
		why, method, target string
		status              int
		kind, says          string
		headers             []string
	}{
		{"the joining page", "GET", "/", 200, page, "Get the certificate", nil},
		{"by the hub's name", "GET", "/", 200, page, "Get the certificate", []string{"Host: coldbatch.local:8090"}},
		{"a label's address keeps its path", "GET", "/B/K7M2Q9", 200, page, `href="https://coldbatch.local:8443/B/K7M2Q9"`, nil},
		{"a code in the path keeps it too", "GET", "/JOIN/K7M2-Q9X4-TTRW-9ABC", 200, page, `href="https://coldbatch.local:8443/JOIN/K7M2-Q9X4-TTRW-9ABC"`, []string{chromeUA}},
		{"a path that is markup", "GET", `/%22%3E%3Cscript%3Ealert(1)%3C/script%3E`, 200, page, "What you opened is kept", nil},
		{"only the head", "HEAD", "/", 200, page, "", nil},
		{"the certificate", "GET", "/authority.crt", 200, "application/x-x509-ca-cert", "der", nil},
		{"as a profile", "GET", "/coldbatch.mobileconfig", 200, "application/x-apple-aspen-config", "<plist>", nil},
		{"its key is nowhere", "GET", "/ca.key", 200, page, "Get the certificate", nil},
		{"its style", "GET", "/joining/joining.css", 200, "text/css; charset=utf-8", ".step", nil},
		{"its script", "GET", "/joining/joining.js", 200, "text/javascript; charset=utf-8", "healthz", nil},
		{"its texts are no files", "GET", "/joining/page.html", 404, page, "nothing at", nil},
		{"nor is what is above", "GET", "/joining/..%2fweb.go", 301, "", "", nil},
		{"its font", "GET", "/font/latin.woff2", 200, "font/woff2", "font", nil},
		{"no font", "GET", "/font/other.woff2", 404, page, "nothing at", nil},
		{"the app is not there", "GET", "/sw.js", 200, page, "Get the certificate", nil},
		{"nor the core", "GET", "/dist/core.wasm", 200, page, "Get the certificate", nil},
		{"alive", "GET", "/healthz", 200, "text/plain; charset=utf-8", "ok", nil},
		{"the house is not asked over plain http", "GET", "/api/v1/about", 403, json, "only the joining page", nil},
		{"nor by the owner", "GET", "/api/v1/phones", 403, json, "open https://coldbatch.local:8443", []string{"Cookie: " + cookieName + "=owner.20000"}},
		{"no one pairs in the clear", "POST", "/api/v1/pair", 403, json, "only the joining page", nil},
		{"no bag", "GET", "/api/v1/bag/" + wholeLabel, 403, json, "only the joining page", nil},
		{"a sensor's reading", "POST", "/api/v1/reading", 200, json, "{}", []string{"Authorization: Bearer " + sensorToken}},
		{"without its token", "POST", "/api/v1/reading", 401, json, "Authorization: Bearer", nil},
		{"another token", "POST", "/api/v1/reading", 403, json, "no sensor", []string{"Authorization: Bearer other"}},
		{"a reading is sent, not asked for", "GET", "/api/v1/reading", 403, json, `"refused"`, nil},
		{"a calendar, by the token in its address", "GET", "/api/v1/calendar/" + calendarToken + ".ics", 200, "text/calendar; charset=utf-8", "BEGIN:VCALENDAR", nil},
		{"another calendar", "GET", "/api/v1/calendar/other.ics", 403, json, "no calendar", nil},
		{"the calendar of a batch is for phones", "GET", "/api/v1/calendar?batch=1", 403, json, "only the joining page", nil},
		{"a page takes no POST", "POST", "/", 405, page, "method", nil},
		{"a foreign name that points here", "GET", "/", 421, page, "http://192.168.1.20:8090", []string{"Host: evil.example:8090"}},
		{"a name that only begins like ours", "GET", "/", 421, page, "How to get access", []string{"Host: coldbatch.local.evil.example:8090"}},
		{"a foreign name's sensor", "POST", "/api/v1/reading", 421, json, `"refused"`, []string{"Host: evil.example", "Authorization: Bearer " + sensorToken}},
		{"a reading from another site's page", "POST", "/api/v1/reading", 403, json, "another site", []string{"Sec-Fetch-Site: cross-site", "Authorization: Bearer " + sensorToken}},
		{"from a page of another origin", "POST", "/api/v1/reading", 403, json, "evil.example", []string{"Origin: http://evil.example", "Authorization: Bearer " + sensorToken}},
	} {
		w := sendRequest(h, row.method, row.target, "18.5", append([]string{"From: http phone"}, row.headers...)...)
		if w.Code != row.status || !strings.Contains(w.Body.String(), row.says) || row.kind != "" && w.Header().Get("Content-Type") != row.kind {
			t.Errorf("%s: %s %s gave %d %q %.300q", row.why, row.method, row.target, w.Code, w.Header().Get("Content-Type"), w.Body)
		}
		if w.Header().Get("Strict-Transport-Security") != "" {
			t.Errorf("%s: the browser is told never to come back in plain http", row.why)
		}
		if len(w.Result().Cookies()) > 0 {
			t.Errorf("%s: a cookie in the clear", row.why)
		}
		if strings.Contains(w.Body.String(), "<script>") {
			t.Errorf("%s: markup of the path is in the page", row.why)
		}
		checkRefusal(t, row.why, row.method, w)
	}
}

func TestJoiningPolicy(t *testing.T) {
	h := newPlainHandler(t, newTestApp(t))
	const rest = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self' %; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	for host, origins := range map[string]string{
		"coldbatch.local:8090":   "https://coldbatch.local:8443",
		"192.168.1.20:8090":      "https://coldbatch.local:8443 https://192.168.1.20:8443",
		"[fd00::20]:8090":        "https://coldbatch.local:8443 https://[fd00::20]:8443",
		"evil.example":           "https://coldbatch.local:8443", // what is refused chooses nothing
		"x; script-src *:8090":   "https://coldbatch.local:8443",
		"coldbatch.home.arpa:80": "https://coldbatch.local:8443 https://coldbatch.home.arpa:8443",
	} {
		got := sendRequest(h, "GET", "/", "", "From: http phone", "Host: "+host).Header().Get("Content-Security-Policy")
		if want := strings.Replace(rest, "%", origins, 1); got != want {
			t.Errorf("%s:\n got %s\nwant %s", host, got, want)
		}
	}
}

// Every joining page, by browser, choice and certificate: it is complete, has a strict policy,
// and its links work.
func TestJoiningPages(t *testing.T) {
	links := regexp.MustCompile(`(?:href|src)="([^"]*)"`)
	for _, own := range []bool{false, true} {
		a := newTestApp(t)
		a.Static = static.Files
		if own {
			network := a.Network()
			network.HasOwnCertificate, network.Fingerprint, network.Authority, network.Profile = true, "", nil, nil
			a.Network = func() Network { return network }
		}
		if _, err := fs.Stat(a.Static, requiredFiles[1]); err != nil {
			t.Skip("the phone app is not generated")
		}
		h := newPlainHandler(t, a)
		for _, row := range []struct {
			why, agent, query, title string
			steps, ownSteps          int
		}{
			{"Safari", safariUA, "", "Let this iPhone in", 6, 3},
			{"another browser on an iPhone", chromeOnIOSUA, "", "Let this iPhone in", 7, 3},
			{"inside another app", inAppBrowserUA, "", "Let this iPhone in", 7, 3},
			{"an iPad that says so", ipadUA, "", "Let this iPad in", 6, 3},
			{"an iPad that says it is a Mac, sent by the script", desktopFirefoxUA, "?for=ipad", "Let this iPad in", 6, 3},
			{"Chrome on Android", chromeUA, "", "Let this phone in", 5, 3},
			{"Firefox on Android", firefoxUA, "", "Let this phone in", 6, 3},
			{"a computer", desktopFirefoxUA, "", "Let this computer in", 4, 2},
			{"no name at all", "User-Agent: ", "", "Let this computer in", 4, 2},
			{"an iPhone's steps, read on a computer", desktopFirefoxUA, "?for=iphone", "Let this iPhone in", 6, 3},
			{"chosen by hand", safariUA, "?for=android", "Let this phone in", 5, 3},
			{"nothing that there is", chromeUA, "?for=toaster", "Let this phone in", 5, 3},
		} {
			w := sendRequest(h, "GET", "/"+row.query, "", "From: http phone", row.agent)
			body := w.Body.String()
			want := row.steps
			if own {
				want = row.ownSteps
			}
			if got := strings.Count(body, `class="step tag"`); got != want || !strings.Contains(body, "<h1>"+row.title+"</h1>") {
				t.Errorf("%s (own %v): %d steps, want %d; title %q?", row.why, own, got, want, row.title)
			}
			for _, bad := range []string{"{{", "}}", "<!-- step", "style=", "onclick", "<style", "javascript:", "localhost:0"} {
				if strings.Contains(body, bad) {
					t.Errorf("%s (own %v): there is %q in the page", row.why, own, bad)
				}
			}
			for _, word := range []string{"trusts its certificate already", "AB:<wbr>CD:<wbr>EF", "How to remove it", "Get the certificate"} {
				if want := !own == !strings.HasPrefix(word, "trusts its certificate"); strings.Contains(body, word) != want {
					t.Errorf("%s (own %v): says %q: %v", row.why, own, word, !want)
				}
			}
			for _, m := range links.FindAllStringSubmatch(body, -1) {
				link := m[1]
				switch {
				case strings.HasPrefix(link, "https://coldbatch.local:8443/"):
				case strings.HasPrefix(link, "?for="):
				case strings.HasPrefix(link, "#"):
					if !strings.Contains(body, `id="`+link[1:]+`"`) {
						t.Errorf("%s (own %v): %s leads nowhere", row.why, own, link)
					}
				default:
					w := sendRequest(h, "GET", link, "", "From: http phone")
					if w.Code != 200 || strings.Contains(w.Body.String(), "<h1>") {
						t.Errorf("%s (own %v): %s gives %d", row.why, own, link, w.Code)
					}
				}
			}
		}
	}
}

// With the owner's own certificate there is none to give out.
func TestOwnCertificate(t *testing.T) {
	a := newTestApp(t)
	network := a.Network()
	network.HasOwnCertificate = true
	a.Network = func() Network { return network }
	for _, target := range []string{"/authority.crt", "/coldbatch.mobileconfig"} {
		if w := sendRequest(newPlainHandler(t, a), "GET", target, "", "From: http phone"); w.Code != 404 || !strings.Contains(w.Body.String(), "https://coldbatch.local:8443") {
			t.Errorf("%s gives %d %s", target, w.Code, w.Body)
		}
	}
}

// Whatever is refused outside the interface of programs is a page, and it says how
// to get in.
func TestRefusalsArePages(t *testing.T) {
	full, plain := newFullHandler(t, newTestApp(t)), newPlainHandler(t, newTestApp(t))
	for _, row := range []struct {
		why    string
		h      http.Handler
		method string
		target string
		status int
		from   []string
	}{
		{"a foreign name, over https", full, "GET", "/today", 421, []string{"From: https owner", "Host: evil.example"}},
		{"a foreign name", plain, "GET", "/", 421, []string{"From: http phone", "Host: evil.example"}},
		{"a foreign page", full, "GET", "/", 403, []string{"From: https owner", "Origin: https://evil.example"}},
		{"a file that is not there", full, "GET", "/gone.js", 404, []string{"From: https nobody"}},
		{"a wrong method", full, "POST", "/today", 405, []string{"From: https nobody"}},
		{"labels to print, opened on a phone that nobody let in", full, "GET", "/api/v1/sheet?batch=x", 401, []string{"From: https nobody", "Sec-Fetch-Mode: navigate"}},
		{"the same over plain http", plain, "GET", "/api/v1/sheet?batch=x", 403, []string{"From: http phone", "Sec-Fetch-Mode: navigate"}},
		{"no such part of the page", plain, "GET", "/joining/x.css", 404, []string{"From: http phone"}},
	} {
		w := sendRequest(row.h, row.method, row.target, "", row.from...)
		body := w.Body.String()
		if w.Code != row.status || w.Header().Get("Content-Type") != "text/html; charset=utf-8" || w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %d %q", row.why, w.Code, w.Header().Get("Content-Type"))
		}
		for _, want := range []string{"How to get access", `href="https://coldbatch.local:8443"`, `href="http://192.168.1.20:8090"`, "<title>"} {
			if !strings.Contains(body, want) {
				t.Errorf("%s: the page does not say %q", row.why, want)
			}
		}
		if strings.Contains(body, "{{") || strings.Contains(body, "style=") {
			t.Errorf("%s: the page is not whole or not strict", row.why)
		}
	}
	// What a request says about itself is shown as text.
	w := sendRequest(plain, "GET", "/joining/%3Cb%3E.css", "", "From: http phone", `Host: <script>alert(1)</script>`)
	if strings.Contains(w.Body.String(), "<script>") {
		t.Errorf("the host's name is markup: %s", w.Body)
	}
}

// Requests as the network may send them: no panic, no way past the door, and
// nothing of the request as markup.
func FuzzPlain(f *testing.F) {
	f.Add("GET", "/", "192.168.1.20:8090", "", "")
	f.Add("GET", "/b/K7M2", "coldbatch.local", "Mozilla/5.0 (iPhone)", "for=android")
	f.Add("POST", "/api/v1/reading", "[fd00::20%25eth0]:8090", "", "")
	f.Add("GET", "//evil.example/\\..", "evil.example", "Android Firefox/1", "for=<script>")
	f.Add("HEAD", "/joining/../x", "", "", "")
	s, err := newServer(App{
		Static: appFiles(), ActiveHub: func() Hub { return tokensOnly{} },
		Network: func() Network {
			return Network{Host: "coldbatch.local", HTTPSPort: 8443, HTTPPort: 8090, Addresses: []string{"192.168.1.20"}}
		},
	})
	if err != nil {
		f.Fatal(err)
	}
	h := s.plainHandler()
	templates := ""
	for _, name := range []string{"page", "trust", "iphone", "android", "computer", "no-access"} {
		text, err := joiningFiles.ReadFile("joining/" + name + ".html")
		if err != nil {
			f.Fatal(err)
		}
		templates += string(text)
	}
	f.Fuzz(func(t *testing.T, method, path, host, agent, query string) {
		if strings.ContainsAny(method, " \r\n\x00") || method == "" {
			return
		}
		r := httptest.NewRequest("GET", "/", nil)
		r.Method, r.URL.Path, r.URL.RawQuery, r.Host, r.RemoteAddr = method, "/"+path, query, host, "192.168.1.7:5000"
		r.Header.Set("User-Agent", agent)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r) // a panic would be logged, and there is no log
		if w.Code >= 500 {
			t.Errorf("%d", w.Code)
		}
		name := normalizeHost(host)
		if w.Code == 200 && name != "coldbatch.local" && name != "coldbatch.home.arpa" && name != "192.168.1.20" {
			t.Errorf("answers to %q", host)
		}
		body := w.Body.String()
		for _, bad := range []string{path, query, host, agent} {
			if strings.ContainsAny(bad, "<>\"") && w.Header().Get("Content-Type") == contentTypes[".html"] && len(bad) > 3 && strings.Contains(body, bad) && !strings.Contains(templates, bad) {
				t.Errorf("%q is in the page as it came", bad)
			}
		}
	})
}
