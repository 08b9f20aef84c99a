//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// A newer program offers its app and never forces it: what runs goes on until
// the tap, or until the app is started afresh with no other window open.
func TestUpdateIsOffered(t *testing.T) {
	h := newHouse(t)
	older, newer := h.path, newerBinary(t)
	p := newPhone(t, h.url())
	p.open("/sums/bottle")
	p.installed()
	p.scannerHere()
	p.markScanner("own")

	p.alone()
	h.stop()
	h.path = newer
	other := p.window()
	other.open("/shelf")
	h.start()
	p.open("/sums/bottle")
	p.fill("Strength", "6.2 g per 8 fl oz")
	p.see("new version of the app")
	if p.isNewer() {
		t.Error("the app changed under the hand")
	}
	p.reload() // no fresh start: the other window is open
	p.see("new version of the app")
	if p.isNewer() {
		t.Error("the app changed at a reload, with another window open")
	}
	p.fill("Strength", "6.2 g per 8 fl oz")
	p.fill("Volume in each bottle", "2 fl oz")
	p.see("1.55 g")
	p.tap("Take it now")
	p.wait("the newer app", `document.documentElement.dataset.started === 'yes' && `+newerShown)
	p.see("Dye for a bottle")
	p.gone("new version of the app")
	other.see("new version of the app") // it goes on as it is, too
	if other.isNewer() {
		t.Error("the app changed in the other window")
	}
	other.tap("Take it now")
	other.wait("the newer app in the other window", newerShown)
	other.close()
	p.wait("the older app to be dropped", `caches.keys().then(names => names.length === 1)`)
	p.wait("the scanner, which is the same, to be taken over", scannerMark("own"))

	p.markScanner("spoiled")

	h.stop()
	h.path = older
	h.start()
	p.open("/sums/bottle")
	p.see("new version of the app")
	p.reload()
	p.wait("the other app, at a fresh start", "!"+newerShown)
	p.gone("new version of the app")
	p.scannerHere()
	p.wait("the scanner that was spoiled to be fetched anew", scannerMark(""))
}

// markScanner puts a mark on the scanner that is kept on the phone; "spoiled" is
// one that is not what the program has.
func (p *phone) markScanner(mark string) {
	p.t.Helper()
	p.wait("the scanner to be marked", fmt.Sprintf(`caches.keys().then(async ([name]) => {
		const cache = await caches.open(name), file = %q, mark = %q, body = await (await cache.match(file)).arrayBuffer();
		await cache.put(file, new Response(mark === 'spoiled' ? body.slice(1) : body, {headers: {'Content-Type': 'application/wasm', 'X-Mark': mark}}));
		return true;
	})`, scannerFile, mark))
}

// scannerMark is whether the one that is kept bears the mark.
func scannerMark(mark string) string {
	return fmt.Sprintf(`caches.match(%q).then(a => a && (a.headers.get('X-Mark') || '') === %q)`, scannerFile, mark)
}

const scannerFile = "/vendor/zxing-wasm@3.1.4/zxing_reader.wasm"

// mark is what the newer app has over the older: a line of style that no screen
// needs, on the root of the page.
const (
	mark       = "\n:root { --newer: 1; }\n"
	newerShown = `getComputedStyle(document.documentElement).getPropertyValue('--newer')`
)

func (p *phone) isNewer() bool {
	p.t.Helper()
	return asked[bool](p, `Boolean(`+newerShown+`)`)
}

// newerBinary builds the program with one file of the app changed.
func newerBinary(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	css, err := filepath.Abs("../../static/css/base.css")
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
	for name, text := range map[string][]byte{changed: append(body, mark...), overlay: replace} {
		if err := os.WriteFile(name, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("go", "build", "-trimpath", "-overlay", overlay, "-o", path, ".")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return path
}
