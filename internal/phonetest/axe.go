//go:build unix

package phonetest

import (
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

// axeRules are the rules of WCAG 2.2, A and AA, and that of AAA for the contrast of text, 7:1. The
// pattern of the page is taken away: axe-core measures no text over a picture.
const axeRules = `(async () => {
	const sheet = new CSSStyleSheet();
	sheet.replaceSync('body { background-image: none !important }');
	document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
	const root = document.querySelector('dialog[open]') || document;
	const {violations} = await axe.run(root, {
		resultTypes: ['violations'],
		runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']},
		rules: {'color-contrast-enhanced': {enabled: true}},
	});
	document.adoptedStyleSheets = document.adoptedStyleSheets.filter(s => s !== sheet);
	return violations.flatMap(v => v.nodes.map(n => v.id + ': ' + n.html.slice(0, 120) + ' ' + [...n.any, ...n.all, ...n.none].map(c => c.message).join('; ').slice(0, 200)));
})()`

// AuditByAxe fails the test on what axe-core finds wrong on the screen, light and dark.
func (p *Phone) AuditByAxe(where string) {
	p.T.Helper()
	for _, scheme := range []string{"dark", "light"} {
		p.SetAppearance(scheme, 390, 844, 16)
		p.runAxe(where + ", " + scheme)
	}
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
