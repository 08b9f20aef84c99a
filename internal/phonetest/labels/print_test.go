//go:build unix

package labels_test

import (
	"math"
	"testing"

	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// A phone's browser draws the pages when its dialog asks for them, after the screen
// went on, and so does the headless one here, whose dialog never opens: what was
// printed comes on the paper as it was, until the page is touched again.
func TestPrintsWhatWasOnTheScreen(t *testing.T) {
	need.CI(t)
	t.Parallel()
	need.Programs(t, "pdfinfo", "pdftoppm", "zbarimg")
	p, batch := startWithTwoBags(t)
	p.GoTo(batch + "/labels")
	p.WaitForPages("2 labels to print", "Print 2 labels")
	p.Tap("a whole sheet…")
	p.Tap("Start at label 4")
	p.WaitForPages("from label 4 on", "Print 2 labels")
	bags := p.BagAddresses(batch)
	p.Tap("Print 2 labels")
	p.WaitForText("2 labels printed", "all printed", "a whole sheet")
	s := p.PrintToPDF()
	s.CheckPages(1, 210, 297)
	s.CheckCodes(bags["1"], bags["2"])
	_, second, _, _ := s.InkBox()

	// Touched again, the screen is what prints: here from the top.
	p.Tap("All 2")
	p.WaitForPages("Print 2 labels")
	s = p.PrintToPDF()
	s.CheckPages(1, 210, 297)
	s.CheckCodes(bags["1"], bags["2"])
	if _, first, _, _ := s.InkBox(); math.Abs(second-first-37) > 0.15 {
		t.Errorf("the ink begins %.1f mm from the top, and %.1f mm in the row below", first, second)
	}

	checkOwnSizeOfPaperInInches(p, batch)
}

// checkOwnSizeOfPaperInInches holds that a size of one's own stays that size for a person
// who changes to inches.
func checkOwnSizeOfPaperInInches(p *phonetest.Phone, batch string) {
	p.T.Helper()
	phonetest.Evaluate[bool](p, `appModule('/device/settings.js').then(m => { m.setPaper({sheet: '62x29'}); m.setStyle({...m.style.value, system: 'us'}); return true; })`)
	p.GoTo(batch + "/labels")
	p.Tap("62 × 29 mm…")
	p.WaitFor("both sides in inches", `['Width', 'Height'].map(n => [...document.querySelectorAll('dialog label')].find(l => l.innerText.startsWith(n)).control.value).join() === '2.44,1.14'`)
	p.Fill("Width", "abc")
	p.WaitForText("is not accepted", "½ to 16½ in high")
	p.Fill("Width", "2.5")
	p.Tap("Done")
	p.WaitForText("2.5 × 1.14 in")
}
