package web

import (
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/rights"
)

func TestPairSetsCookie(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	w := sendRequest(h, "POST", "/api/v1/pair", goodCode, "From: https nobody")
	if w.Code != 200 || strings.Contains(w.Body.String(), "owner") {
		t.Fatalf("%d %s: the token is for the cookie alone", w.Code, w.Body)
	}
	cookies := w.Result().Cookies()
	if len(cookies) != 1 {
		t.Fatalf("%d cookies", len(cookies))
	}
	// RFC 6265bis, 4.1.3.2: the prefix __Host- asks for Secure, Path=/ and no Domain;
	// 5.5: no cookie lives longer than 400 days.
	c := cookies[0]
	if c.Name != "__Host-phone" || !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.Domain != "" || c.MaxAge != 400*86400 {
		t.Errorf("the cookie is %q", w.Header().Get("Set-Cookie"))
	}
	if w := sendRequest(h, "POST", "/api/v1/exchange", "{}", "From: https nobody", "Cookie: "+c.Name+"="+c.Value); w.Code != 200 {
		t.Errorf("the phone that was just let in gets %d", w.Code)
	}
	if w := sendRequest(h, "POST", "/api/v1/pair", `{"code":"wrong"}`, "From: https nobody"); w.Code != 403 || len(w.Result().Cookies()) != 0 {
		t.Errorf("a wrong code gives %d and %v", w.Code, w.Result().Cookies())
	}
}

// A phone that keeps coming is not forgotten after 400 days; one without access is given no new
// cookie.
func TestCookieIsRenewed(t *testing.T) {
	s, err := newServer(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 5, 2, 12, 0, 0, 0, time.UTC)
	s.now = func() time.Time { return now }
	h := s.fullHandler()
	for _, row := range []struct {
		why, token string
		age        int
		renewed    bool
	}{
		{"of yesterday", "owner", 1, false},
		{"29 days old", "owner", 29, false},
		{"30 days old", "owner", 30, true},
		{"a year old, a helper's", "helper", 365, true},
		{"from the future: the computer's clock was wrong", "owner", -400, false},
		{"of a phone that is let in no more", "out", 100, false},
		{"of nobody", "nobody", 100, false},
	} {
		value := row.token + "." + strconv.FormatInt(dayOf(now)-int64(row.age), 10)
		w := sendRequest(h, "POST", "/api/v1/exchange", "{}", "From: https", "Cookie: "+cookieName+"="+value)
		got := w.Result().Cookies()
		if (len(got) == 1) != row.renewed {
			t.Errorf("%s: %v", row.why, got)
		}
		if row.renewed && got[0].Value != row.token+"."+strconv.FormatInt(dayOf(now), 10) {
			t.Errorf("%s: became %q", row.why, got[0].Value)
		}
	}
}

// The computer itself may do everything, so nothing else may pass for it.
func TestOnlyLoopbackIsLocal(t *testing.T) {
	full := newFullHandler(t, newTestApp(t))
	_, plain, err := New(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	port := RouteByOrigin(full, plain)
	for _, row := range []struct {
		why     string
		h       http.Handler
		status  int
		headers []string
	}{
		{"itself", port, 200, nil},
		{"itself by number", port, 200, []string{"Host: 127.0.0.1:8090"}},
		{"itself by number, IPv6", port, 200, []string{"Host: [::1]:8090", "Remote: [::1]:5000"}},
		{"itself, IPv4 inside IPv6", port, 200, []string{"Remote: [::ffff:127.0.0.1]:5000"}},
		{"a phone that says localhost", port, 421, []string{"Remote: 192.168.1.7:5000"}},
		{"and to the app's handler itself", full, 421, []string{"Remote: 192.168.1.7:5000"}},
		{"a phone that says it was passed on from there", port, 421, []string{"Remote: 192.168.1.7:5000", "X-Forwarded-For: 127.0.0.1"}},
		{"someone whom a proxy of this machine passes on", full, 421, []string{"X-Forwarded-For: 192.168.1.7"}},
		{"as the standard says it", full, 421, []string{"Forwarded: for=192.168.1.7"}},
		{"a foreign name that points here", port, 421, []string{"Host: evil.example:8090"}},
		{"the hub's own name, in plain http", port, 403, []string{"Host: coldbatch.local:8090"}},
		{"an address that is this machine's in no other way", port, 421, []string{"Host: 0.0.0.0:8090"}},
		{"https by localhost shows a cookie as everyone", full, 401, []string{"From: https nobody", "Host: localhost:8443", "Remote: 127.0.0.1:5000"}},
		{"https by localhost from elsewhere", full, 421, []string{"From: https owner", "Host: localhost:8443"}},
		{"https from this machine by the name, as a stranger", full, 401, []string{"From: https nobody", "Remote: 127.0.0.1:5000"}},
		{"the owner's cookie over plain http", full, 421, []string{"From: http phone", "Cookie: " + cookieName + "=owner.20000"}},
		{"a remote that is not one", full, 421, []string{"Remote: @"}},
	} {
		w := sendRequest(row.h, "GET", "/api/v1/phones", "", row.headers...)
		if w.Code != row.status {
			t.Errorf("%s: %d %s", row.why, w.Code, w.Body)
		}
	}
}

func FuzzCookie(f *testing.F) {
	for _, seed := range []string{"token.20000", "", ".", "token", "token.", ".20000", "token.-1", "a.b.20000", "token.99999999999999999999", strings.Repeat("x", 5000) + ".1", "\"token.1\"", "to;ken.1"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, value string) {
		r := httptest.NewRequest("GET", "/", nil)
		r.Header.Set("Cookie", cookieName+"="+value)
		token, day, ok := readCookie(r)
		if !ok {
			if token != "" || day != 0 {
				t.Errorf("no cookie, and yet %q of %d", token, day)
			}
			return
		}
		if token == "" || len(token) > 100 {
			t.Errorf("a token of %d bytes", len(token))
		}
		// Written and read again it is the same.
		w := httptest.NewRecorder()
		setCookie(w, token, time.Unix(day*86400, 0))
		again := httptest.NewRequest("GET", "/", nil)
		for _, c := range w.Result().Cookies() {
			again.AddCookie(c)
		}
		if got, gotDay, ok := readCookie(again); !ok || got != token || gotDay != day {
			t.Errorf("%q of %d came back as %q of %d", token, day, got, gotDay)
		}
	})
}

// A phone that is removed while it still sends has no access any more.
func TestRemovePhoneDuringUpload(t *testing.T) {
	asked := 0
	a := newTestAppOn(&fakeHub{identify: func(token string) (rights.Asker, error) {
		if asked++; asked > 1 {
			token = "out"
		}
		return askerByToken(token)
	}})
	if w := sendRequest(newFullHandler(t, a), "POST", "/api/v1/exchange", "{}", "From: https helper"); w.Code != 403 || !strings.Contains(w.Body.String(), "was removed") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
