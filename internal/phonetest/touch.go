//go:build unix

package phonetest

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"coldbatch/internal/hubtest"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// node is a control on the screen, as a screen reader knows it.
type node struct {
	role, name string
	id         cdp.BackendNodeID
	disabled   bool
}

// The roles that take a tap or a text.
var (
	tappable      = []string{"button", "link", "checkbox", "radio", "switch", "DisclosureTriangle"}
	writableRoles = []string{"textbox", "spinbutton", "searchbox", "Date", "DateTime", "ColorWell"}
)

// listNodes lists the controls of those roles on the screen, without those that are
// hidden or lie behind a dialog.
func (p *Phone) listNodes(ctx context.Context, roles []string) ([]node, error) {
	tree, err := chromedp.Call(ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		return nil, err
	}
	var out []node
	for _, n := range tree.Nodes {
		if n.Ignored || n.Role == nil || !slices.Contains(roles, textOf(n.Role)) {
			continue
		}
		isDisabled := slices.ContainsFunc(n.Properties, func(x *accessibility.Property) bool {
			return x.Name == accessibility.PropertyNameDisabled && string(x.Value.Value) == "true"
		})
		out = append(out, node{role: textOf(n.Role), name: strings.Join(strings.Fields(textOf(n.Name)), " "), id: n.BackendDOMNodeID, disabled: isDisabled})
	}
	return out, nil
}

// textOf returns the text of a value of the tree; it has none where there is no value.
func textOf(v *accessibility.Value) string {
	var s string
	if v != nil {
		json.Unmarshal([]byte(v.Value), &s)
	}
	return s
}

// findNode waits for the control of that name; a name that ends in … is the beginning
// of one. The first of several is taken.
func (p *Phone) findNode(roles []string, name string) node {
	p.T.Helper()
	begin, open := strings.CutSuffix(name, "…")
	var found []node
	for end := time.Now().Add(hubtest.WaitTimeout); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.Ctx, hubtest.WaitTimeout)
		nodes, err := p.listNodes(ctx, roles)
		stop()
		if err != nil {
			continue // the page is between two
		}
		found = nodes
		for _, n := range nodes {
			if n.isNamed(name) || open && strings.HasPrefix(strings.ToLower(n.name), strings.ToLower(begin)) {
				return n
			}
		}
	}
	names := make([]string, len(found))
	for i, n := range found {
		names[i] = fmt.Sprintf("%s %q", n.role, n.name)
	}
	p.T.Fatalf("nothing is named %q; there are:\n%s", name, strings.Join(names, "\n"))
	return node{}
}

// isNamed says whether a control has that name, or is a field whose name ends with its unit.
func (n node) isNamed(name string) bool {
	label := n.name
	if i := strings.LastIndex(label, ", "); i > 0 && slices.Contains(writableRoles, n.role) {
		label = label[:i]
	}
	return strings.EqualFold(n.name, name) || strings.EqualFold(label, name)
}

// findTapPoint scrolls a control to the middle of the screen and returns its centre once it no
// longer moves, or what covers it and would take the tap.
const findTapPoint = `async function() {
	const el = /^(checkbox|radio)$/.test(this.type) && this.labels?.length ? this.labels[0] : this;
	el.scrollIntoView({block: 'center', behavior: 'instant'});
	const frame = () => new Promise(requestAnimationFrame);
	let before = '', since = 0;
	for (let end = performance.now() + 2000; performance.now() < end;) {
		await frame();
		const r = el.getBoundingClientRect(), now = [r.x, r.y, r.width, r.height].join();
		if (now !== before) since = performance.now();
		else if (r.width > 0 && performance.now() - since > 100) break;
		before = now;
	}
	const r = el.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
	const over = document.elementFromPoint(x, y);
	if (!el.isConnected) return {detached: true};
	if (this.disabled || this.ariaDisabled === 'true') return {disabled: true};
	if (document.documentElement.dataset.started === 'yes' && (await appModule('/device/one-touch.js')).isDeaf(el, x, y)) return {deaf: true};
	if (!over || !(el.contains(over) || over.contains(el) || this === over)) return {coveredBy: over ? over.outerHTML.slice(0, 200) : 'nothing: it is off the screen'};
	return {x, y};
}`

// target is what findTapPoint returns.
type target struct {
	X, Y               float64
	Detached, Disabled bool
	Deaf               bool // the page ignores a tap there so soon after the last
	CoveredBy          string
}

// reachNode returns the point where to touch a control. It waits while the control is
// covered or disabled.
func (p *Phone) reachNode(roles []string, name string) (node, target) {
	p.T.Helper()
	var n node
	var at target
	var err error
	for end := time.Now().Add(hubtest.WaitTimeout); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		n = p.findNode(roles, name)
		at = target{}
		if err = p.callOn(n, findTapPoint, &at); err == nil && !at.Detached && !at.Disabled && !at.Deaf && at.CoveredBy == "" {
			return n, at
		}
	}
	switch {
	case at.Disabled:
		p.T.Fatalf("%s %q is disabled", n.role, n.name)
	case at.CoveredBy != "":
		p.T.Fatalf("%s %q is covered by %s", n.role, n.name, at.CoveredBy)
	}
	p.T.Fatalf("%s %q keeps moving: %v", n.role, n.name, err)
	return n, at
}

// callOn calls a JavaScript function with the control as this.
func (p *Phone) callOn(n node, js string, result any) error {
	ctx, stop := context.WithTimeout(p.Ctx, hubtest.WaitTimeout)
	defer stop()
	obj, err := chromedp.Call(ctx, dom.ResolveNode, dom.ResolveNodeParams{BackendNodeID: n.id})
	if err != nil {
		return err
	}
	res, err := chromedp.Call(ctx, runtime.CallFunctionOn, runtime.CallFunctionOnParams{
		FunctionDeclaration: js, ObjectID: obj.Object.ObjectID, ReturnByValue: new(true), AwaitPromise: new(true), UserGesture: new(true)})
	if err != nil {
		return err
	}
	if res.ExceptionDetails != nil {
		return fmt.Errorf("%s", res.ExceptionDetails.Text)
	}
	if result == nil {
		return nil
	}
	return json.Unmarshal([]byte(res.Result.Value), result)
}

// Tap touches the control of that name. If the page took no notice, since on a busy machine it
// moved or was at work just then, Tap touches it once more, as a person would.
func (p *Phone) Tap(name string) {
	p.T.Helper()
	p.Taps++
	for try := 1; ; try++ {
		n, at := p.reachNode(tappable, name)
		if err := p.callOn(n, watchClick, nil); err != nil {
			p.T.Fatal(err)
		}
		p.touch(at)
		if p.wasClicked() {
			p.waitForPicture()
			return
		}
		if try == 3 {
			p.T.Fatalf("the page ignores taps on %q", name)
		}
		p.T.Logf("the page ignored a tap on %q", name)
	}
}

// watchClick has the page note the next click that it does not ignore.
const watchClick = `function() {
	const seen = window.nextClick = {isSeen: false};
	addEventListener('click', () => { seen.isSeen = true; }, {capture: true, once: true});
}`

// wasClicked says whether the click that watchClick waits for came. A page that was left by
// the click counts as clicked.
func (p *Phone) wasClicked() bool {
	p.T.Helper()
	const clickTimeout = 3 * time.Second
	for end := time.Now().Add(clickTimeout); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.Ctx, clickTimeout)
		isSeen, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`!window.nextClick || window.nextClick.isSeen`))
		stop()
		if isSeen || err != nil {
			return true
		}
	}
	return false
}

// waitForPicture waits until the page shows that a touch was taken: only then begins what it leads to, and until then the
// old screen's text could be taken for the new one's. A page that was left by the touch has nothing to wait for.
func (p *Phone) waitForPicture() {
	p.T.Helper()
	ctx, stop := context.WithTimeout(p.Ctx, 3*time.Second)
	defer stop()
	_, _ = chromedp.Run(ctx, chromedp.Evaluate[bool](`document.documentElement.dataset.started === 'yes' ? appModule('/core/after-picture.js').then(({afterPicture}) =>
		new Promise((resolve) => afterPicture(() => queueMicrotask(() => queueMicrotask(() => resolve(true)))))) : true`, chromedp.EvalAwaitPromise))
}

func (p *Phone) touch(at target) {
	p.T.Helper()
	p.Do(chromedp.TapXY(at.X, at.Y))
}

// Fill writes text into the field with that label, in place of what was in it.
func (p *Phone) Fill(label, text string) {
	p.T.Helper()
	p.Typed++
	n, at := p.reachNode(writableRoles, label)
	p.touch(at)
	if err := p.callOn(n, `function() { this.focus(); this.select?.(); }`, nil); err != nil {
		p.T.Fatal(err)
	}
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, input.InsertText, input.InsertTextParams{Text: text})
		return err
	})
}

// TapQuickly touches the control of that name several times, as a wet glove does: again after
// each of the gaps, whether or not the page has answered. The browser is told when each touch
// happened, so the gaps hold on a busy machine too.
func (p *Phone) TapQuickly(name string, gaps ...time.Duration) {
	p.T.Helper()
	_, at := p.reachNode(tappable, name)
	when := time.Now()
	for i := -1; i < len(gaps); i++ {
		if i >= 0 {
			when = when.Add(gaps[i])
			time.Sleep(time.Until(when))
		}
		p.touchPoints(input.DispatchTouchEventTypeTouchStart, when, &input.TouchPoint{X: at.X, Y: at.Y})
		lift := when
		when = when.Add(40 * time.Millisecond)
		time.Sleep(time.Until(when))
		p.touchPoints(input.DispatchTouchEventTypeTouchEnd, when)
		when = lift
	}
}

// Hold keeps a finger on the control of that name for so long.
func (p *Phone) Hold(name string, d time.Duration) {
	p.T.Helper()
	_, at := p.reachNode(tappable, name)
	p.touchPoints(input.DispatchTouchEventTypeTouchStart, time.Now(), &input.TouchPoint{X: at.X, Y: at.Y})
	time.Sleep(d)
	p.touchPoints(input.DispatchTouchEventTypeTouchEnd, time.Now())
}

// Draw moves a finger over the element that a selector finds, along points that are shares of its
// width and height.
func (p *Phone) Draw(selector string, points ...[2]float64) {
	p.T.Helper()
	box := Evaluate[[4]float64](p, fmt.Sprintf(`(() => {
		const e = document.querySelector(%q);
		e.scrollIntoView({block: 'center', behavior: 'instant'});
		const {x, y, width, height} = e.getBoundingClientRect();
		return [x, y, width, height];
	})()`, selector))
	kind := input.DispatchTouchEventTypeTouchStart
	for _, at := range points {
		p.touchPoints(kind, time.Now(), &input.TouchPoint{X: box[0] + at[0]*box[2], Y: box[1] + at[1]*box[3]})
		kind = input.DispatchTouchEventTypeTouchMove
	}
	p.touchPoints(input.DispatchTouchEventTypeTouchEnd, time.Now())
}

// TapAt touches a point of the screen, and lifts the finger d later. Unlike Tap it does not ask for the
// tree of what a screen reader would say, which makes the page slower.
func (p *Phone) TapAt(x, y float64, d time.Duration) {
	p.T.Helper()
	p.touchPoints(input.DispatchTouchEventTypeTouchStart, time.Now(), &input.TouchPoint{X: x, Y: y})
	time.Sleep(d)
	p.touchPoints(input.DispatchTouchEventTypeTouchEnd, time.Now())
}

// touchPoints tells the browser where fingers are, and when.
func (p *Phone) touchPoints(kind input.DispatchTouchEventType, when time.Time, points ...*input.TouchPoint) {
	p.T.Helper()
	stamp := input.TimeSinceEpoch(float64(when.UnixMicro()) / 1e6)
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{
			Type: kind, TouchPoints: append([]*input.TouchPoint{}, points...), Timestamp: stamp})
		return err
	})
}

// ListActs returns the names of the controls on the screen that take a tap now.
func (p *Phone) ListActs() []string {
	p.T.Helper()
	nodes, err := p.listNodes(p.Ctx, tappable)
	if err != nil {
		p.T.Fatal(err)
	}
	var names []string
	for _, n := range nodes {
		if n.name != "" && !n.disabled && !slices.Contains(names, n.name) {
			names = append(names, n.name)
		}
	}
	return names
}

// SlowDown makes the phone's processor slower by a factor; 1 is its own speed.
func (p *Phone) SlowDown(factor float64) {
	p.T.Helper()
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: factor})
		return err
	})
}

// WaitForRest waits until the page takes the next act.
func (p *Phone) WaitForRest() {
	p.T.Helper()
	p.WaitFor("the page to take the next act", `appModule('/device/one-touch.js').then(m => !m.isDeaf(document.querySelector('nav a'), -1000, -1000))`)
}
