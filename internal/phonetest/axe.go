//go:build unix

package phonetest

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
)

// readAxe reads axe-core (Deque, MPL 2.0), an accessibility checker, as npm installs it.
var readAxe = sync.OnceValues(func() ([]byte, error) {
	_, here, _, _ := runtime.Caller(0)
	return os.ReadFile(filepath.Join(filepath.Dir(here), "../../testdata/javascript/node_modules/axe-core/axe.min.js"))
})

// axeRules are all rules of axe-core, with that of WCAG's level AAA for the contrast of text, 7:1. The
// pattern of the page is taken away: axe-core measures no text over a picture.
const axeRules = `(async () => {
	const sheet = new CSSStyleSheet();
	sheet.replaceSync('body { background-image: none !important }');
	document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
	const root = document.querySelector('dialog[open]') || document;
	const {violations} = await axe.run(root, {
		resultTypes: ['violations'],
		rules: {'color-contrast-enhanced': {enabled: true}, 'target-size': {enabled: true}},
	});
	document.adoptedStyleSheets = document.adoptedStyleSheets.filter(s => s !== sheet);
	return violations.flatMap(v => v.nodes.map(n => v.id + ': ' + n.html.slice(0, 120) + ' ' + [...n.any, ...n.all, ...n.none].map(c => c.message).join('; ').slice(0, 200)));
})()`

// pageHeight says how high the screen and the sheet over it are, which takes 92 % of a window at most.
const pageHeight = `Math.ceil(Math.max(...[document.scrollingElement, ...document.querySelectorAll('dialog[open]')].map(el => el.scrollHeight)) / .92)`

// auditByAxe fails the test on what axe-core finds wrong on the screen, light and dark, on a small
// phone and a usual one. The window is as high as the screen is long: axe-core counts a control as
// hidden that lies under the foot and that a thumb scrolls into sight.
func (p *Phone) auditByAxe(where string) {
	p.T.Helper()
	for _, width := range []int64{360, 390} {
		for _, scheme := range []string{"dark", "light"} {
			p.SetAppearance(scheme, width, 844, 16)
			p.SetAppearance(scheme, width, 200+Evaluate[int64](p, pageHeight), 16)
			p.runAxe(fmt.Sprintf("%s, %s, %d px", where, scheme, width))
		}
	}
	p.SetAppearance("light", 390, 844, 16)
}

func (p *Phone) runAxe(where string) {
	p.T.Helper()
	script, err := readAxe()
	if err != nil {
		p.T.Fatalf("axe-core is missing: run npm ci in testdata/javascript (%v)", err)
	}
	if !Evaluate[bool](p, `Boolean(globalThis.axe)`) {
		Evaluate[bool](p, string(script)+"; true")
	}
	for _, fault := range Evaluate[[]string](p, axeRules) {
		p.T.Errorf("%s: axe-core: %s", where, fault)
	}
}
