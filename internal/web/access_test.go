package web

import (
	"net/http/httptest"
	"os"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/rights"
)

// accessRow is one line of testdata/access.txt: what each asker gets, by column.
type accessRow struct {
	method, path string
	wantByAsker  map[string]string
}

func readAccess(t *testing.T) (rows []accessRow) {
	t.Helper()
	text, err := os.ReadFile("testdata/access.txt")
	if err != nil {
		t.Fatal(err)
	}
	var columns []string
	for line := range strings.Lines(string(text)) {
		words := strings.Fields(line)
		switch {
		case len(words) > 2 && words[0] == "#" && words[1] == "method":
			columns = words[3:]
		case len(words) == 0 || words[0] == "#":
		case len(words) != 2+len(columns):
			t.Fatalf("%q has not %d columns", line, 2+len(columns))
		default:
			row := accessRow{words[0], words[1], map[string]string{}}
			for i, c := range columns {
				row.wantByAsker[c] = words[2+i]
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// accessOutcome returns a status that refuses access as it is, and "open" for any other.
func accessOutcome(status int) string {
	if status == 401 || status == 403 || status == 421 || status == 429 {
		return strconv.Itoa(status)
	}
	return "open"
}

// Every address, requested by every kind of asker.
func TestAccess(t *testing.T) {
	from := map[string][]string{
		"stranger": {"From: https nobody"}, "label": {"From: https nobody"}, "other": {"From: https other"}, "helper": {"From: https helper"},
		"owner": {"From: https owner"}, "computer": nil, "out": {"From: https out"},
	}
	fill := strings.NewReplacer("{file}", "joining.css", "{code}", wholeLabel, "{typed}", typedLabel, "{sha256}", photoOfThisBatch, "{device}", string(someDevice), "{name}", "bottle", "{calendar}", calendarToken+".ics")
	walked := map[string]bool{}
	for _, row := range readAccess(t) {
		walked[row.method+" "+row.path] = true
		for asker, want := range row.wantByAsker {
			headers, ok := from[asker]
			if !ok {
				t.Fatalf("who is %q?", asker)
			}
			// A new house for each, so that no one's guesses count for another.
			w := sendRequest(newFullHandler(t, newTestApp(t)), row.method, fill.Replace(row.path), goodCode, headers...)
			if got := accessOutcome(w.Code); got != want {
				t.Errorf("%s %s as %s: %d, want %s: %s", row.method, row.path, asker, w.Code, want, w.Body)
			}
			checkRefusal(t, row.method+" "+row.path+" as "+asker, row.method, w)
		}
	}
	for _, r := range Routes() {
		if !walked[r.Method+" "+r.Path] {
			t.Errorf("%s %s stands in no line of the table", r.Method, r.Path)
		}
		delete(walked, r.Method+" "+r.Path)
		if !rights.IsAllowed(rights.Owner, r.Act) {
			t.Errorf("%s %s is for no one", r.Method, r.Path)
		}
	}
	delete(walked, "GET /api/v1/bag/{typed}")
	for line := range walked {
		t.Errorf("the table has %s, which is no route", line)
	}
}

// checkRefusal checks that a refusal says how to get access and reveals no secret.
func checkRefusal(t *testing.T, what, method string, w *httptest.ResponseRecorder) {
	t.Helper()
	if w.Code < 400 {
		return
	}
	body := w.Body.String()
	if w.Code == 401 && w.Header().Get("WWW-Authenticate") == "" {
		t.Errorf("%s: a 401 does not say what is asked for (RFC 9110, 11.6.1)", what)
	}
	if w.Code == 429 && w.Header().Get("Retry-After") == "" {
		t.Errorf("%s: a 429 does not say when", what)
	}
	if method != "HEAD" && w.Header().Get("Content-Type") == "application/json" && w.Code != 404 {
		if !strings.Contains(body, `"sentence"`) || accessOutcome(w.Code) != "open" && w.Code != 403 && !strings.Contains(body, `"hint"`) {
			t.Errorf("%s: is told as %s", what, body)
		}
	}
	if strings.Contains(body, "secret") {
		t.Errorf("%s: gives away %s", what, body)
	}
}

// If the asker cannot be looked up, the answer is an internal error, and no one gets access.
func TestAskerFails(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	for _, target := range []string{"/api/v1/about", "/api/v1/phones"} {
		w := sendRequest(h, "GET", target, "", "From: https broken")
		if w.Code != 500 || strings.Contains(w.Body.String(), "secret") {
			t.Errorf("%s gives %d %s", target, w.Code, w.Body)
		}
	}
}

func TestAboutShowsTransportAndAsker(t *testing.T) {
	body := sendRequest(newFullHandler(t, newTestApp(t)), "GET", "/api/v1/about", "", "From: https helper").Body.String()
	for _, want := range []string{`"program":"coldbatch"`, `"role":"helper"`, `"network":{"host":"coldbatch.local","https":8443,"http":8090,"addresses":["192.168.1.20","fd00::20"],"fingerprint":"AB:CD:EF","own":false}`} {
		if !strings.Contains(body, want) {
			t.Errorf("no %s in %s", want, body)
		}
	}
}
