package web

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"
)

// newHandlerWithClock returns a handler whose clock the test moves.
func newHandlerWithClock(t *testing.T, a App) (h http.Handler, pass func(time.Duration)) {
	t.Helper()
	s, err := newServer(a)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 5, 2, 12, 0, 0, 0, time.UTC)
	s.now = func() time.Time { return now }
	return s.fullHandler(), func(d time.Duration) { now = now.Add(d) }
}

// What is guessed, and how a wrong and a right guess look.
var guessTargets = []struct {
	why, method          string
	wrong, right         string // address
	wrongBody, rightBody string
	status               int // of a wrong one
}{
	{"a code", "POST", "/api/v1/pair", "/api/v1/pair", `{"code":"87654321"}`, goodCode, 403},
	{"a label", "GET", "/api/v1/bag/NONE", "/api/v1/bag/" + wholeLabel, "", "", 404},
	{"a typed id", "GET", "/api/v1/bag/" + typedLabel, "/api/v1/bag/" + wholeLabel, "", "", 403},
}

func TestGuessing(t *testing.T) {
	for _, g := range guessTargets {
		h, pass := newHandlerWithClock(t, newTestApp(t))
		try := func(right bool, remote string) int {
			target, body, headers := g.wrong, g.wrongBody, []string{"From: https nobody", "Remote: " + remote}
			if right {
				target, body = g.right, g.rightBody
			}
			w := sendRequest(h, g.method, target, body, headers...)
			checkRefusal(t, g.why, g.method, w)
			if w.Code == 429 && (w.Header().Get("Retry-After") != "12" && w.Header().Get("Retry-After") != "2" || !strings.Contains(w.Body.String(), "wait ")) {
				t.Errorf("%s: retry after %q: %s", g.why, w.Header().Get("Retry-After"), w.Body)
			}
			return w.Code
		}
		const one, two = "192.168.1.7:5000", "192.168.1.8:5000"
		for i := range 100 {
			if got := try(true, one); got != 200 {
				t.Fatalf("%s: right for the %dth time: %d", g.why, i+1, got)
			}
		}
		for i := range guessesPerAddress {
			if got := try(false, one); got != g.status {
				t.Fatalf("%s: wrong for the %dth time: %d", g.why, i+1, got)
			}
		}
		if got := try(false, one); got != 429 {
			t.Errorf("%s: wrong for the %dth time: %d", g.why, guessesPerAddress+1, got)
		}
		if got := try(true, "192.168.1.7:6000"); got != 429 {
			t.Errorf("%s: the right one must not tell itself from the wrong: %d", g.why, got)
		}
		if got := try(true, two); got != 200 {
			t.Errorf("%s: another phone pays for it: %d", g.why, got)
		}
		pass(addressRefill)
		if got := try(true, one); got != 200 {
			t.Errorf("%s: after the wait: %d", g.why, got)
		}
	}
}

// All addresses together share one limit of guesses, however many they are.
func TestGuessingFromManyAddresses(t *testing.T) {
	h, pass := newHandlerWithClock(t, newTestApp(t))
	var wrong int
	guess := func(i int) int {
		return sendRequest(h, "POST", "/api/v1/pair", `{"code":"87654321"}`, "From: https nobody", fmt.Sprintf("Remote: [fd00::%x]:5000", i)).Code
	}
	for i := range 3000 {
		if guess(i) == 403 {
			wrong++
		}
	}
	if wrong != guessesInAll {
		t.Errorf("%d guesses at once", wrong)
	}
	for i := range 600 { // ten minutes, as long as the digits are good
		pass(time.Second)
		for j := range 3 {
			if guess(i*3+j) == 403 {
				wrong++
			}
		}
	}
	if most := guessesInAll + 300; wrong > most {
		t.Errorf("%d guesses in ten minutes, of a hundred million", wrong)
	}
	// Phones that have access look up bags as before.
	for range 200 {
		if got := sendRequest(h, "GET", "/api/v1/bag/NONE", "", "From: https helper").Code; got != 404 {
			t.Fatalf("a helper who mistypes gets %d", got)
		}
	}
}

// Pending guesses count, or a thousand at once would all pass.
func TestGuessingConcurrently(t *testing.T) {
	hold := make(chan struct{})
	h := newFullHandler(t, newTestAppOn(&fakeHub{beforePair: func() { <-hold }}))
	var wg sync.WaitGroup
	var mu sync.Mutex
	got := map[int]int{}
	count := func(code int) { mu.Lock(); got[code]++; mu.Unlock() }
	late := make(chan struct{}, 100)
	for range 50 {
		wg.Go(func() {
			code := sendRequest(h, "POST", "/api/v1/pair", `{"code":"87654321"}`, "From: https nobody").Code
			count(code)
			if code == 429 {
				late <- struct{}{}
			}
		})
	}
	for range 50 - guessesPerAddress {
		<-late
	}
	close(hold)
	wg.Wait()
	if got[403] != guessesPerAddress || got[429] != 50-guessesPerAddress {
		t.Errorf("fifty at once: %v", got)
	}
}

// The table of addresses stays small.
func TestGuessLimitForgetsAddresses(t *testing.T) {
	now := time.Date(2026, 5, 2, 12, 0, 0, 0, time.UTC)
	g := newGuessLimiter("codes", "", func() time.Time { return now })
	for i := range 5 * maxAddresses {
		if end, _ := g.reserve(fmt.Sprintf("[fd00::%x]:1", i)); end != nil {
			end(i%2 == 0)
		}
		if i%100 == 0 {
			now = now.Add(time.Minute)
		}
	}
	if len(g.byAddress) > maxAddresses {
		t.Errorf("%d addresses are counted", len(g.byAddress))
	}
	now = now.Add(time.Hour)
	end, wait := g.reserve("[fd00::1]:1")
	if end == nil {
		t.Fatalf("an hour later still %v", wait)
	}
	end(false)
}

// While many addresses guess digits, the right digits wait too, but a link's code, a
// sensor's token and the person at this computer do not.
func TestGuessersDelayNoOneElse(t *testing.T) {
	h, _ := newHandlerWithClock(t, newTestApp(t))
	full := func(body string, headers ...string) int {
		return sendRequest(h, "POST", "/api/v1/pair", body, headers...).Code
	}
	for i := range 20 * guessesPerAddress {
		full(`{"code":"87654321"}`, "From: https nobody", fmt.Sprintf("Remote: 192.168.1.%d:5000", 30+i%20))
		sendRequest(h, "POST", "/api/v1/reading", "18.5", "From: https nobody", fmt.Sprintf("Remote: 192.168.1.%d:5000", 30+i%20), "Authorization: Bearer wrong")
	}
	const phone = "Remote: 192.168.1.7:5000"
	if w := sendRequest(h, "POST", "/api/v1/pair", goodCode, "From: https nobody", phone); w.Code != 429 || !strings.Contains(w.Body.String(), "`coldbatch pair`") {
		t.Fatalf("the digits were not guessed at: %d %s", w.Code, w.Body)
	}
	if got := full(`{"code":"`+linkCode+`"}`, "From: https nobody", phone); got != 200 {
		t.Errorf("the code of a link: %d", got)
	}
	if got := sendRequest(h, "POST", "/api/v1/reading", "18.5", "From: https nobody", phone, "Authorization: Bearer "+sensorToken).Code; got != 200 {
		t.Errorf("the sensor: %d", got)
	}
	if got := full(goodCode); got != 200 {
		t.Errorf("the digits typed on this computer: %d", got)
	}
}

// A body that does not come is no guess: those who send slowly do not use up the guesses
// of others.
func TestSlowBodiesAreNoGuesses(t *testing.T) {
	s, err := newServer(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	h := s.fullHandler()
	var slow sync.WaitGroup
	bodies := make([]*io.PipeWriter, 2*guessesInAll)
	for i := range bodies {
		var body *io.PipeReader
		body, bodies[i] = io.Pipe()
		slow.Go(func() {
			r := newRequest("POST", "/api/v1/pair", body, "From: https nobody", fmt.Sprintf("Remote: [fd00::%x]:5000", i))
			r.ContentLength = 25
			h.ServeHTTP(httptest.NewRecorder(), r)
		})
		if _, err := io.WriteString(bodies[i], `{"code":`); err != nil { // returns once the handler reads
			t.Fatal(err)
		}
	}
	if got := sendRequest(h, "POST", "/api/v1/pair", goodCode, "From: https nobody", "Remote: 192.168.1.7:5000").Code; got != 200 {
		t.Errorf("the right digits: %d", got)
	}
	for _, b := range bodies {
		b.CloseWithError(io.ErrUnexpectedEOF)
	}
	slow.Wait()
}
