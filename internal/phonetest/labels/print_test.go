//go:build unix

package main

import (
	"fmt"
	"math"
	"testing"

	"coldbatch/internal/need"
)

// A phone's browser draws the pages when its dialog asks for them, after the screen
// went on, and so does the headless one here, whose dialog never opens: what was
// printed comes on the paper as it was, until the page is touched again.
func TestPrintsWhatWasOnTheScreen(t *testing.T) {
	need.Programs(t, "pdfinfo", "pdftoppm", "zbarimg")
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	p.open(batch + "/bagging")
	for n := range 2 {
		p.tap(fmt.Sprintf("Close bag %d", n+1))
		p.see(fmt.Sprintf("Bag %d closed", n+1))
	}
	p.open(batch + "/labels")
	p.laid("2 labels to print", "Print 2 labels")
	p.tap("a whole sheet…")
	p.tap("Begin at label 4")
	p.laid("from label 4 on", "Print 2 labels")
	bags := asked[map[string]string](p, fmt.Sprintf(`import('/journal/views.js').then(async ({batchView}) => Object.fromEntries((await batchView(%q.slice(7))).bags.map(b => [b.number, b.address])))`, batch))
	p.tap("Print 2 labels")
	p.see("2 labels printed", "all printed", "a whole sheet")
	s := p.print()
	s.are(1, 210, 297)
	s.reads(bags["1"], bags["2"])
	_, second, _, _ := s.ink()

	// Touched again, the screen is what prints: here from the top.
	p.tap("All 2")
	p.laid("Print 2 labels")
	s = p.print()
	s.are(1, 210, 297)
	s.reads(bags["1"], bags["2"])
	if _, first, _, _ := s.ink(); math.Abs(second-first-37) > 0.15 {
		t.Errorf("the ink begins %.1f mm from the top, and %.1f mm in the row below", first, second)
	}
}

// A size of one's own stays that size for a person who changes to inches.
func TestOwnSizeOfPaperInInches(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	asked[bool](p, `import('/device/settings.js').then(m => { m.setPaper({sheet: '62x29'}); m.setStyle({...m.style.value, system: 'us'}); return true; })`)
	p.open(batch + "/labels")
	p.tap("62 × 29 mm…")
	p.wait("both sides in inches", `['Width', 'Height'].map(n => [...document.querySelectorAll('dialog label')].find(l => l.innerText.startsWith(n)).control.value).join() === '2.44,1.14'`)
	p.fill("Width", "abc")
	p.see("is not accepted", "½ to 16½ in high")
	p.fill("Width", "2.5")
	p.tap("Done")
	p.see("2.5 × 1.14 in")
}
