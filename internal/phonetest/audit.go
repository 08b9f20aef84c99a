//go:build unix

package phonetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"

	"coldbatch/internal/need"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// appearances are the ways in which people set up their phones: light, dark, and small at
// twice the size of text. The last one is the usual one again.
var appearances = []struct {
	scheme              string
	width, height, text int64
}{{"dark", 390, 844, 16}, {"light", 360, 640, 32}, {"light", 390, 844, 16}}

// AuditScreen goes to a screen, which is there once it shows text, and audits it as
// AuditAppearances does.
func (p *Phone) AuditScreen(path, text string, dialogs ...string) {
	p.T.Helper()
	p.GoTo(path)
	p.WaitForText(text)
	p.AuditAppearances(path, dialogs...)
}

// AuditAppearances audits the screen that is open in all appearances, or without CI in the
// usual one, and with COLDBATCH_LONG by axe-core; dialogs are names of buttons that open one, which
// is audited too.
func (p *Phone) AuditAppearances(where string, dialogs ...string) {
	p.T.Helper()
	audited := appearances
	if !need.IsCI() {
		audited = appearances[2:]
	}
	audit := func(where string) {
		for _, a := range audited {
			p.SetAppearance(a.scheme, a.width, a.height, a.text)
			p.Audit(fmt.Sprintf("%s, %s, text of %d px", where, a.scheme, a.text))
		}
		if os.Getenv("COLDBATCH_LONG") != "" {
			p.auditByAxe(where)
		}
	}
	audit(where)
	for _, name := range dialogs {
		p.Tap(name)
		p.WaitForDialog()
		if !Evaluate[bool](p, `(() => { const d = document.querySelector('dialog[open]'); return d.contains(document.activeElement) && d.scrollTop === 0; })()`) {
			p.T.Errorf("%s, %s: the sheet does not have the focus, or opens below its top", where, name)
		}
		audit(where + ", " + name)
		p.CloseDialog()
		p.CheckFocus(where + ", after " + name)
		if Evaluate[bool](p, `document.activeElement.matches('h1')`) {
			p.T.Errorf("%s: after %s the focus is not on what opened it", where, name)
		}
	}
}

// SetAppearance sets the colour scheme, the size of the phone in px, and the size of
// text in px (16 is usual).
func (p *Phone) SetAppearance(scheme string, width, height, text int64) {
	p.T.Helper()
	p.Do(chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait, chromedp.EmulateScale(2)))
	p.Run(func(ctx context.Context) error {
		_, media := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		_, fonts := chromedp.Call(ctx, page.SetFontSizes, page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: text, Fixed: text * 13 / 16}})
		return errors.Join(media, fonts)
	})
}

// Audit looks at the screen as it is, with all details opened, and fails the test on
// what is too small for a thumb, too faint, cut off or without a name.
func (p *Phone) Audit(where string) {
	p.T.Helper()
	for _, fault := range Evaluate[[]string](p, `(`+auditor+`)()`) {
		p.T.Errorf("%s: %s", where, fault)
	}
	nodes, err := p.listNodes(p.Ctx, slices.Concat(tappable, writableRoles))
	if err != nil {
		p.T.Fatal(err)
	}
	for _, n := range nodes {
		if n.name == "" {
			var text string
			p.callOn(n, `function() { return this.outerHTML.slice(0, 120) }`, &text)
			p.T.Errorf("%s: a %s without a name: %s", where, n.role, text)
		}
	}
	if p.T.Failed() && !p.isLogged {
		p.isLogged = true
		p.logScreen()
	}
}

// The contrast is that of WCAG 2.2, relative luminance; 7:1 is its success
// criterion 1.4.6 (AAA). 56 px is the design's own measure of a wet thumb.
var auditor = fmt.Sprintf(`async () => {
	const thumb = %d, least = %d, out = [];
	for (const d of document.querySelectorAll('details')) d.open = true;
	const frame = () => new Promise(requestAnimationFrame);
	await frame(); await frame();
	await Promise.all(document.getAnimations().filter(a => a.effect.getTiming().iterations !== Infinity).map(a => a.finished.catch(() => {})));
	const root = document.querySelector('dialog[open]') || document.body;
	const describe = el => '<' + el.tagName.toLowerCase() + (el.className?.baseVal ?? el.className ? '.' + (el.className.baseVal ?? el.className) : '') + '> ' + JSON.stringify((el.getAttribute('aria-label') || el.innerText || el.value || '').trim().slice(0, 40));
	const isVisible = el => el.checkVisibility({visibilityProperty: true, opacityProperty: false}) && el.getBoundingClientRect().width > 1;

	const heads = [...document.querySelectorAll('h1')].filter(isVisible);
	if (heads.length !== 1 || !heads[0].innerText.trim()) out.push(heads.length + ' level-one headings');

	// innerWidth grows with a page that is too wide, the root's own width does not.
	const width = document.documentElement.clientWidth;
	const wide = [...root.querySelectorAll('*')].filter(el => isVisible(el) && !el.closest('svg, .visually-hidden') && el.getBoundingClientRect().right > width + 1);
	if (wide.length || document.scrollingElement.scrollWidth > width + 1) out.push('wider than the phone, ' + document.scrollingElement.scrollWidth + ' of ' + width + ': ' + wide.slice(0, 3).map(describe).join(', '));
	if (root !== document.body && root.scrollWidth > root.clientWidth + 1) out.push('the sheet is wider than it shows');

	for (const el of root.querySelectorAll('a[href], button, summary, input, select, textarea')) {
		if (!isVisible(el)) continue;
		const style = getComputedStyle(el);
		if (el.tagName === 'A' && style.display === 'inline') continue; // a word within a sentence
		const box = /^(checkbox|radio|color)$/.test(el.type) && el.labels.length ? [el, ...el.labels] : [el];
		if (el.closest('.stepper') && el.tagName === 'INPUT') box.push(el.closest('.stepper'));
		const high = Math.max(...box.map(b => b.getBoundingClientRect().height)), wide = Math.max(...box.map(b => b.getBoundingClientRect().width));
		if (high < thumb - .5 || wide < 47.5) out.push('too small for a thumb, ' + Math.round(wide) + ' × ' + Math.round(high) + ': ' + describe(el));
	}

	const canvas = new OffscreenCanvas(1, 1).getContext('2d', {willReadFrequently: true});
	const colour = css => { canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = css; canvas.fillRect(0, 0, 1, 1); const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data; return {rgb: [r, g, b], a: a / 255}; };
	const over = (top, below) => ({rgb: top.rgb.map((v, i) => v * top.a + below.rgb[i] * (1 - top.a)), a: 1});
	const luminance = ({rgb}) => rgb.map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4).reduce((sum, v, i) => sum + v * [.2126, .7152, .0722][i], 0);
	const backgroundOf = el => {
		const layers = [];
		for (let at = el; at; at = at.parentElement) { const c = colour(getComputedStyle(at).backgroundColor); if (c.a) layers.push(c); if (c.a === 1) break; }
		return layers.reverse().reduce((below, top) => over(top, below), colour(getComputedStyle(document.documentElement).colorScheme === 'dark' ? '#000' : '#fff'));
	};
	const reported = new Set();
	for (const el of root.querySelectorAll('*')) {
		if (el.closest('svg, [aria-hidden=true], :disabled, .visually-hidden, .page') || !isVisible(el)) continue;
		if (![...el.childNodes].some(n => n.nodeType === 3 && n.data.trim())) continue;
		let fade = 1;
		for (let at = el; at; at = at.parentElement) fade *= getComputedStyle(at).opacity;
		const behind = backgroundOf(el), own = colour(getComputedStyle(el).color), text = over({...own, a: own.a * fade}, behind);
		const [a, b] = [luminance(text), luminance(behind)].sort((x, y) => y - x), ratio = (a + .05) / (b + .05);
		const line = 'text of ' + ratio.toFixed(1) + ':1: ' + describe(el);
		if (ratio < least && !reported.has(el.className)) { reported.add(el.className); out.push(line); }
	}
	return out;
}`, 56, 7)
