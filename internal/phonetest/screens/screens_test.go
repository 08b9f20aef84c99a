//go:build unix

package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"coldbatch/internal/calc"
)

// Every screen, of the invented example: no complaint of the console or of the
// content policy, no request to another origin (the phone fails on those by
// itself), one heading, a name on all that can be touched, room for a thumb, text
// that stands out in light and dark, and nothing cut off on a small phone whose
// owner reads at twice the size.
func TestEveryScreen(t *testing.T) {
	h := newHouse(t, "--example")
	p := newPhone(t, h.url())
	p.open("/")
	p.see("invented example", "open batches")
	ids := asked[struct{ Batch, Planned, Bag, Wet, Place, Code string }](p, `(async () => {
		const {batches, places} = await import('/journal/states.js'), {batchView} = await import('/journal/views.js');
		const all = await batches(), full = all.find(b => b.bags?.length), view = await batchView(full.id);
		const bag = stage => view.bags.find(b => b.stage === stage);
		return {batch: full.id, planned: all.find(b => !b.bags?.length).id, bag: bag('cure').id, wet: bag('opened').id,
			place: Object.keys(await places())[0], code: bag('cure').code};
	})()`)
	planned, batch := "/batch/"+ids.Planned, "/batch/"+ids.Batch
	type screen struct {
		path, see string
		sheet     string // the button that lays a sheet over the screen, which is looked at too
	}
	screens := []screen{
		{"/", "keep wet and warm", "New batch"},
		{"/batches", "open", ""},
		{batch, "bags", "Change the name"},
		{planned, "colours", ""},
		{planned + "/pieces", "add", "Tote bag"},
		{planned + "/colours", "add a colour", "violet"},
		{planned + "/soak", "soda ash", ""},
		{batch + "/soak", "soda ash", ""},
		{planned + "/jugs", "jug", ""},
		{batch + "/bagging", "pieces in this bag", ""},
		{batch + "/labels", "at 100 %", "A4, 70…"},
		{batch + "/history", "history", ""},
		{"/bag/" + ids.Batch + "/" + ids.Bag, "label", "Label"},
		{"/bag/" + ids.Batch + "/" + ids.Wet, "rinse", ""},
		{"/b/" + ids.Code, "bag", ""},
		{"/scan", "which bag", ""},
		{"/scan/shelf", "check the shelf", ""},
		{"/sums", "dye for a bottle", ""},
		{"/shelf", "places", "New place"},
		{"/place/" + ids.Place, "usual night and day", "Add a sensor"},
		{"/phone", "hub", ""},
		{"/check", "what was looked at", ""},
		{"/nowhere", "page", ""},
	}
	for _, e := range calc.All() {
		screens = append(screens, screen{"/sums/" + e.Name, e.Inputs[0].Label, ""})
	}
	look := func(how string, show func(path string)) {
		for _, s := range screens {
			show(s.path)
			p.see(s.see)
			where := how + " " + strings.NewReplacer(ids.Batch, "ID", ids.Planned, "ID", ids.Bag, "BAG", ids.Wet, "BAG", ids.Place, "ID", ids.Code, "CODE").Replace(s.path)
			p.audit(where)
			if s.sheet != "" {
				p.tap(s.sheet)
				p.wait("the sheet", `document.querySelector('dialog[open]')`)
				p.audit(where + ", " + s.sheet)
			}
		}
	}
	look("light", p.open)
	p.dress("dark", 390, 844, 16)
	look("dark", p.turn)
	p.dress("light", 360, 640, 32)
	look("small and large", p.turn)
}

// dress sets what the phone's owner chose: the scheme, the phone's size, and the
// size of text (16 is the usual).
func (p *phone) dress(scheme string, width, height, text int64) {
	p.t.Helper()
	p.do(chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait, chromedp.EmulateScale(2)))
	p.call(func(ctx context.Context) error {
		_, media := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		_, fonts := chromedp.Call(ctx, page.SetFontSizes, page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: text, Fixed: text * 13 / 16}})
		return errors.Join(media, fonts)
	})
}

// audit looks at the screen as it stands, with all that folds away unfolded.
func (p *phone) audit(where string) {
	p.t.Helper()
	for _, fault := range asked[[]string](p, `(`+auditor+`)()`) {
		p.t.Errorf("%s: %s", where, fault)
	}
	nodes, err := p.nodes(p.ctx, slices.Concat(tappable, writable))
	if err != nil {
		p.t.Fatal(err)
	}
	for _, n := range nodes {
		if n.name == "" {
			var text string
			p.on(n, `function() { return this.outerHTML.slice(0, 120) }`, &text)
			p.t.Errorf("%s: a %s without a name: %s", where, n.role, text)
		}
	}
	if p.t.Failed() && !p.shot {
		p.shot = true
		p.tell()
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
	const say = el => '<' + el.tagName.toLowerCase() + (el.className?.baseVal ?? el.className ? '.' + (el.className.baseVal ?? el.className) : '') + '> ' + JSON.stringify((el.getAttribute('aria-label') || el.innerText || el.value || '').trim().slice(0, 40));
	const seen = el => el.checkVisibility({visibilityProperty: true, opacityProperty: false}) && el.getBoundingClientRect().width > 1;

	const heads = [...document.querySelectorAll('h1')].filter(seen);
	if (heads.length !== 1 || !heads[0].innerText.trim()) out.push(heads.length + ' headings of the first rank');

	// innerWidth grows with a page that is too wide, the root's own width does not.
	const width = document.documentElement.clientWidth;
	const wide = [...root.querySelectorAll('*')].filter(el => seen(el) && !el.closest('svg, .aside') && el.getBoundingClientRect().right > width + 1);
	if (wide.length || document.scrollingElement.scrollWidth > width + 1) out.push('wider than the phone, ' + document.scrollingElement.scrollWidth + ' of ' + width + ': ' + wide.slice(0, 3).map(say).join(', '));
	if (root !== document.body && root.scrollWidth > root.clientWidth + 1) out.push('the sheet is wider than it shows');

	for (const el of root.querySelectorAll('a[href], button, summary, input, select, textarea')) {
		if (!seen(el)) continue;
		const style = getComputedStyle(el);
		if (el.tagName === 'A' && style.display === 'inline') continue; // a word within a sentence
		const box = /^(checkbox|radio|color)$/.test(el.type) && el.labels.length ? [el, ...el.labels] : [el];
		if (el.closest('.stepper') && el.tagName === 'INPUT') box.push(el.closest('.stepper'));
		const high = Math.max(...box.map(b => b.getBoundingClientRect().height)), wide = Math.max(...box.map(b => b.getBoundingClientRect().width));
		if (high < thumb - .5 || wide < 43.5) out.push('too small for a thumb, ' + Math.round(wide) + ' × ' + Math.round(high) + ': ' + say(el));
	}

	const canvas = new OffscreenCanvas(1, 1).getContext('2d', {willReadFrequently: true});
	const colour = css => { canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = css; canvas.fillRect(0, 0, 1, 1); const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data; return {rgb: [r, g, b], a: a / 255}; };
	const over = (top, below) => ({rgb: top.rgb.map((v, i) => v * top.a + below.rgb[i] * (1 - top.a)), a: 1});
	const light = ({rgb}) => rgb.map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4).reduce((sum, v, i) => sum + v * [.2126, .7152, .0722][i], 0);
	const ground = el => {
		const layers = [];
		for (let at = el; at; at = at.parentElement) { const c = colour(getComputedStyle(at).backgroundColor); if (c.a) layers.push(c); if (c.a === 1) break; }
		return layers.reverse().reduce((below, top) => over(top, below), colour(getComputedStyle(document.documentElement).colorScheme === 'dark' ? '#000' : '#fff'));
	};
	const told = new Set();
	for (const el of root.querySelectorAll('*')) {
		if (el.closest('svg, [aria-hidden=true], :disabled, .aside, .page') || !seen(el)) continue;
		if (![...el.childNodes].some(n => n.nodeType === 3 && n.data.trim())) continue;
		let fade = 1;
		for (let at = el; at; at = at.parentElement) fade *= getComputedStyle(at).opacity;
		const behind = ground(el), own = colour(getComputedStyle(el).color), text = over({...own, a: own.a * fade}, behind);
		const [a, b] = [light(text), light(behind)].sort((x, y) => y - x), ratio = (a + .05) / (b + .05);
		const line = 'text of ' + ratio.toFixed(1) + ':1: ' + say(el);
		if (ratio < least && !told.has(el.className)) { told.add(el.className); out.push(line); }
	}
	return out;
}`, 56, 7)
