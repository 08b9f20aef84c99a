//go:build unix

package pairing_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// A newer program offers its app and never forces it: what runs goes on until
// the tap, or until the app is started afresh with no other window open.
func TestUpdateIsOffered(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.Start(t)
	older, newer := h.Path, newerBinary(t)
	p := phonetest.NewPhone(t, h.URL())
	p.Open("/sums/bottle")
	p.WaitForInstall()
	p.WaitForScanner()
	markScanner(p, "own")

	p.AllowNetworkErrors()
	h.Stop()
	h.Path = newer
	other := p.NewWindow()
	other.Open("/shelf")
	h.Start()
	p.Open("/sums/bottle")
	p.Fill("Strength", "6.2 g per 8 fl oz")
	p.WaitForText("new version of the app")
	if isNewer(p) {
		t.Error("the app changed under the hand")
	}
	p.Reload() // no fresh start: the other window is open
	p.WaitForText("new version of the app")
	if isNewer(p) {
		t.Error("the app changed at a reload, with another window open")
	}
	p.Fill("Strength", "6.2 g per 8 fl oz")
	p.Fill("Volume in each bottle", "2 fl oz")
	p.WaitForText("1.55 g")
	p.Tap("Update now")
	p.WaitFor("the newer app", `document.documentElement.dataset.started === 'yes' && `+newerShown)
	p.WaitForText("Dye for a bottle")
	p.WaitForNoText("new version of the app")
	other.WaitForText("new version of the app") // it goes on as it is, too
	if isNewer(other) {
		t.Error("the app changed in the other window")
	}
	other.Tap("Update now")
	other.WaitFor("the newer app in the other window", newerShown)
	other.Close()
	p.WaitFor("the older app to be dropped", `caches.keys().then(names => names.length === 1)`)
	p.WaitFor("the scanner, which is the same, to be taken over", scannerMark("own"))

	markScanner(p, "spoiled")

	h.Stop()
	h.Path = older
	h.Start()
	p.Open("/sums/bottle")
	p.WaitForText("new version of the app")
	p.Reload()
	p.WaitFor("the other app, at a fresh start", "!"+newerShown)
	p.WaitForNoText("new version of the app")
	p.WaitForScanner()
	p.WaitFor("the scanner that was spoiled to be fetched anew", scannerMark(""))
}

// markScanner puts a mark on the scanner that is kept on the phone; "spoiled" is
// one that is not what the program has.
func markScanner(p *phonetest.Phone, mark string) {
	p.T.Helper()
	p.WaitFor("the scanner to be marked", fmt.Sprintf(`caches.keys().then(async ([name]) => {
		const cache = await caches.open(name), file = %q, mark = %q, body = await (await cache.match(file)).arrayBuffer();
		await cache.put(file, new Response(mark === 'spoiled' ? body.slice(1) : body, {headers: {'Content-Type': 'application/wasm', 'X-Mark': mark}}));
		return true;
	})`, phonetest.ScannerPath, mark))
}

// scannerMark is whether the one that is kept bears the mark.
func scannerMark(mark string) string {
	return fmt.Sprintf(`caches.match(%q).then(a => a && (a.headers.get('X-Mark') || '') === %q)`, phonetest.ScannerPath, mark)
}

// mark is what the newer app has over the older: a line of style that no screen
// needs, on the root of the page.
const (
	newerStyle = "\n:root { --newer: 1; }\n"
	newerShown = `getComputedStyle(document.documentElement).getPropertyValue('--newer')`
)

func isNewer(p *phonetest.Phone) bool {
	p.T.Helper()
	return phonetest.Evaluate[bool](p, `Boolean(`+newerShown+`)`)
}

// newerBinary builds the program with one file of the app changed.
func newerBinary(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	css, err := filepath.Abs("../../../static/css/base.css")
	if err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(css)
	if err != nil {
		t.Fatal(err)
	}
	changed, overlay, path := filepath.Join(dir, "base.css"), filepath.Join(dir, "overlay.json"), filepath.Join(dir, "coldbatch")
	replace, err := json.Marshal(map[string]any{"Replace": map[string]string{css: changed}})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string][]byte{changed: append(body, newerStyle...), overlay: replace} {
		if err := os.WriteFile(name, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := hubtest.Build(path, "-overlay", overlay); err != nil {
		t.Fatal(err)
	}
	return path
}
