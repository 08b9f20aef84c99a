//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"io"
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
	h := newHome(t)
	browser := trusting(t, h.authority())
	p := phoneOf(t, browser, h.secure())
	p.open("/check")
	p.see("This phone trusts your hub", "Ready to work offline", "coldbatch.local is found", "Not paired yet")
	p.audit("trusted")
	p.dress("dark", 390, 844, 16)
	p.audit("trusted, dark")
	p.dress("light", 360, 640, 32)
	p.audit("trusted, small and large")
	p.tap("Pair this phone")
	p.fill("Code", h.invite())
	p.tap("Pair this phone")
	p.see("This phone is in")
	p.turn("/check")
	p.see("And it is in")

	// By an address of the computer it is another page to the browser, with a
	// journal of its own.
	for _, a := range asked[[]string](p, `fetch('/api/v1/about').then(r => r.json()).then(a => a.network.addresses)`) {
		if strings.HasPrefix(a, "fe80") {
			continue // means nothing without its interface
		}
		if strings.Contains(a, ":") {
			a = "[" + a + "]"
		}
		q := phoneOf(t, browser, fmt.Sprintf("https://%s:%d", a, h.tls))
		q.open("/")
		q.see("This is another copy", "lives at https://coldbatch.local", "Open it there")
		q.turn("/check")
		q.see("This is another copy", "Open the right one")
		q.dress("light", 360, 640, 32)
		q.audit("a copy, small and large")
		break
	}
}

// A phone that shows the page in spite of a warning is told what that is not
// enough for, and what to do.
func TestCheckOfAPhoneWithoutTrust(t *testing.T) {
	h := newHome(t)
	p := phoneOf(t, trusting(t, ""), h.secure())
	p.allow(`ERR_CERT|SSL certificate`)
	_ = chromedp.Do(p.ctx, chromedp.Navigate(h.secure()+"/check")) // the browser's own warning counts as a failure
	p.wait("the browser's warning", `document.body.innerText.includes('ERR_CERT_AUTHORITY_INVALID')`)
	p.do(chromedp.KeyEvent("thisisunsafe"))
	p.see("This phone does not trust your hub yet", "Look again", "It cannot work without network")
	p.gone("Pair this phone")
	p.audit("without trust")
	p.dress("dark", 390, 844, 16)
	p.turn("/")
	p.see("This phone does not trust the hub yet: it cannot work without network")
	p.audit("today, without trust")
}

// A sensor gets a token, which is shown once, and with it reports to its place
// until it is taken away.
func TestSensor(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/shelf")
	p.tap("New place")
	p.fill("Name of the place", "shed")
	p.tap("Add the place")
	p.tap("Add a sensor")
	p.audit("the name of a sensor")
	p.fill("Name of the sensor", "window")
	p.tap("Add the sensor")
	p.see("It is shown this once")
	p.audit("a sensor's token")
	token := asked[string](p, `document.querySelector('.token').innerText`)
	p.see("curl -H 'Authorization: Bearer " + token + "' -d 18.5 " + h.url() + "/api/v1/reading")
	p.tap("It has the token")
	until(t, "the hub to know the sensor", func() bool { return h.count("place.sensed") == 1 })

	h.report(token, "18.5", http.StatusOK)
	p.see("18.5 °C")
	p.tap("Take window away")
	until(t, "the hub to know", func() bool { return h.count("fact.withdrawn") == 1 })
	p.settled() // it holds once the phone was told so
	h.report(token, "9", http.StatusForbidden)
	p.tap("Undo")
	until(t, "the hub to know", func() bool { return h.count("fact.restored") == 1 })
	p.settled()
	h.report(token, "25", http.StatusOK)
}

// report sends a reading as a sensor does.
func (h *house) report(token, celsius string, want int) {
	h.t.Helper()
	q, err := http.NewRequest("POST", h.url()+"/api/v1/reading", strings.NewReader(celsius))
	if err != nil {
		h.t.Fatal(err)
	}
	q.Header.Set("Authorization", "Bearer "+token)
	resp, err := http.DefaultClient.Do(q)
	if err != nil {
		h.t.Fatal(err)
	}
	defer resp.Body.Close()
	if text, _ := io.ReadAll(resp.Body); resp.StatusCode != want {
		h.t.Errorf("a reading of %s: %s, not %d: %s", celsius, resp.Status, want, text)
	}
}

// Where no room is left nothing is lost in silence: the entry that was not kept is
// named, and what is there can be saved as a file, which a hub that lost all takes
// in at its own computer, with the entries of others that were in it.
func TestNoRoomAndAFile(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.plan("Picnic cloths")
	p.settled()
	p.turn("/shelf")
	p.allow(`exchange: Fault: the phone has no room left`) // a round of the exchange writes, too
	asked[bool](p, `(globalThis.put = IDBObjectStore.prototype.put, IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); }, true)`)
	p.tap("New place")
	p.fill("Name of the place", "attic")
	p.tap("Add the place")
	p.see("no room left, and this was not kept")
	p.audit("a full phone")
	p.tap("Close")
	p.turn("/batches")
	p.see("something was not kept")
	p.turn("/")
	p.see("This phone has no room left")
	asked[bool](p, `(URL.createObjectURL = blob => { globalThis.saved = blob.text(); return 'blob:'; }, HTMLAnchorElement.prototype.click = () => {}, true)`)
	p.tap("Save a file")
	p.see("entries saved")
	text := asked[string](p, `globalThis.saved`)
	asked[bool](p, `(IDBObjectStore.prototype.put = globalThis.put, true)`)
	p.turn("/shelf")
	p.tap("New place")
	p.fill("Name of the place", "attic")
	p.tap("Add the place")
	p.see("attic added")
	p.gone("something was not kept")

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
	anew := newHouse(t)
	q := newPhone(t, anew.url())
	q.open("/phone")
	q.do(chromedp.SetUploadFiles(chromedp.CSS("input[type=file]"), []string{file}))
	q.see(fmt.Sprintf("%d entries read, %d of them new", len(kept.Facts), len(kept.Facts)))
	until(t, "the hub to have the file", func() bool { return anew.count("batch.started") == 1 })
	got := map[string]bool{}
	for _, f := range anew.facts() {
		got[string(f.ID)] = true
	}
	for _, f := range kept.Facts {
		var head struct{ ID, Kind string }
		if json.Unmarshal(f, &head); !got[head.ID] {
			t.Errorf("the hub did not take %s", head.Kind)
		}
	}
}
