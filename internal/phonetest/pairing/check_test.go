//go:build unix

package pairing_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// The check is the first page of a phone that is being brought in: it must be
// readable whatever it found, say what comes next, and not offer a pairing that
// would be of no use.
func TestCheckOfANewPhone(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	p := phonetest.NewPhoneIn(t, browser, h.AppURL())
	p.Open("/check")
	p.WaitForText("This phone trusts your hub", "Ready to work offline", "coldbatch.local is found", "Not paired yet")
	p.AuditAppearances("trusted")
	p.Tap("Pair this phone")
	p.Fill("Code", h.Invite())
	p.Tap("Pair this phone")
	p.WaitForText("This phone is paired")
	p.GoTo("/check")
	p.WaitForText("And it is paired")

	// By an address of the computer it is another page to the browser, with a
	// journal of its own.
	for _, a := range phonetest.Evaluate[[]string](p, `fetch('/api/v1/about').then(r => r.json()).then(a => a.network.addresses)`) {
		if strings.HasPrefix(a, "fe80") {
			continue // means nothing without its interface
		}
		if strings.Contains(a, ":") {
			a = "[" + a + "]"
		}
		q := phonetest.NewPhoneIn(t, browser, fmt.Sprintf("https://%s:%d", a, h.HTTPSPort))
		q.Open("/")
		q.WaitForText("This is another copy", "is at https://coldbatch.local", "Open it there")
		q.GoTo("/check")
		q.WaitForText("This is another copy", "Open the right one")
		q.SetAppearance("light", 360, 640, 32)
		q.Audit("a copy, small and large")
		break
	}
}

// A sensor gets a token, which is shown once, and with it reports to its place
// until it is taken away.
func TestSensor(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.Start(t)
	p := phonetest.NewPhone(t, h.URL())
	p.Open("/shelf")
	p.Tap("New place")
	p.Fill("Name of the place", "shed")
	p.Tap("Add the place")
	p.Tap("Add a sensor")
	p.Audit("the name of a sensor")
	p.Fill("Name of the sensor", "window")
	p.Tap("Add the sensor")
	p.WaitForText("It is shown this once")
	p.Audit("a sensor's token")
	token := phonetest.Evaluate[string](p, `document.querySelector('.token').innerText`)
	p.WaitForText("curl -H 'Authorization: Bearer " + token + "' -d 18.5 " + h.URL() + "/api/v1/reading")
	p.Tap("Done")
	hubtest.WaitUntil(t, "the hub to know the sensor", func() bool { return h.CountFacts(journal.KindPlaceSensed) == 1 })

	h.SendReading(token, "18.5", http.StatusOK)
	p.WaitForText("18.5 °C")
	p.Tap("Remove window")
	hubtest.WaitUntil(t, "the hub to know", func() bool { return h.CountFacts(journal.KindFactWithdrawn) == 1 })
	p.WaitForSync() // it holds once the phone was told so
	h.SendReading(token, "9", http.StatusForbidden)
	p.Tap("Undo")
	hubtest.WaitUntil(t, "the hub to know", func() bool { return h.CountFacts(journal.KindFactRestored) == 1 })
	p.WaitForSync()
	h.SendReading(token, "25", http.StatusOK)
}

// Where no room is left nothing is lost in silence: the entry that was not kept is
// named, and what is there can be saved as a file, which a hub that lost all takes
// in at its own computer, with the entries of others that were in it.
func TestNoRoomAndAFile(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p, _ := phonetest.StartPlanned(t)
	p.WaitForSync()
	p.GoTo("/shelf")
	p.AllowError(`exchange: Fault: this phone is full`) // a round of the exchange writes, too
	phonetest.Evaluate[bool](p, `(globalThis.put = IDBObjectStore.prototype.put, IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); }, true)`)
	p.Tap("New place")
	p.Fill("Name of the place", "attic")
	p.Tap("Add the place")
	p.WaitForText("this phone is full, so this was not saved")
	p.Audit("a full phone")
	p.Tap("Close")
	p.GoTo("/batches")
	p.WaitForText("something was not saved")
	p.GoTo("/")
	p.WaitForText("This phone is full")
	phonetest.Evaluate[bool](p, `(URL.createObjectURL = blob => { globalThis.saved = blob.text(); return 'blob:'; }, HTMLAnchorElement.prototype.click = () => {}, true)`)
	p.Tap("Save a file")
	p.WaitForText("entries saved")
	text := phonetest.Evaluate[string](p, `globalThis.saved`)
	phonetest.Evaluate[bool](p, `(IDBObjectStore.prototype.put = globalThis.put, true)`)
	p.GoTo("/shelf")
	p.Tap("New place")
	p.Fill("Name of the place", "attic")
	p.Tap("Add the place")
	p.WaitForText("attic added")
	p.WaitForNoText("something was not saved")

	var kept struct {
		Facts []json.RawMessage `json:"facts"`
	}
	if err := json.Unmarshal([]byte(text), &kept); err != nil || len(kept.Facts) == 0 {
		t.Fatalf("the file holds %d entries: %v", len(kept.Facts), err)
	}
	file := filepath.Join(t.TempDir(), "coldbatch-2026-05-02.json")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	anew := hubtest.Start(t)
	q := phonetest.NewPhone(t, anew.URL())
	q.Open("/phone")
	q.Do(chromedp.SetUploadFiles(chromedp.CSS("input[type=file]"), []string{file}))
	q.WaitForText(fmt.Sprintf("%d entries read, %d of them new", len(kept.Facts), len(kept.Facts)))
	hubtest.WaitUntil(t, "the hub to have the file", func() bool { return anew.CountFacts(journal.KindBatchStarted) == 1 })
	got := map[string]bool{}
	for _, f := range anew.Facts() {
		got[string(f.ID)] = true
	}
	for _, f := range kept.Facts {
		var head struct{ ID, Kind string }
		if json.Unmarshal(f, &head); !got[head.ID] {
			t.Errorf("the hub did not take %s", head.Kind)
		}
	}
}
