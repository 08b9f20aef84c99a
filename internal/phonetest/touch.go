//go:build unix

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// node is a thing on the screen as a screen reader has it.
type node struct {
	role, name string
	id         cdp.BackendNodeID
}

// The roles that take a tap or a text.
var (
	tappable = []string{"button", "link", "checkbox", "radio", "switch", "DisclosureTriangle"}
	writable = []string{"textbox", "spinbutton", "searchbox", "Date", "DateTime", "ColorWell"}
)

// nodes lists what is on the screen and not hidden or covered by a dialog.
func (p *phone) nodes(ctx context.Context, roles []string) ([]node, error) {
	tree, err := chromedp.Call(ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		return nil, err
	}
	var out []node
	for _, n := range tree.Nodes {
		if n.Ignored || n.Role == nil || !slices.Contains(roles, said(n.Role)) {
			continue
		}
		out = append(out, node{role: said(n.Role), name: strings.Join(strings.Fields(said(n.Name)), " "), id: n.BackendDOMNodeID})
	}
	return out, nil
}

func said(v *accessibility.Value) string {
	var s string
	if v != nil {
		json.Unmarshal([]byte(v.Value), &s)
	}
	return s
}

// find waits for the thing of that name; a name that ends in … is the beginning
// of one. The first of several is taken.
func (p *phone) find(roles []string, name string) node {
	p.t.Helper()
	begin, open := strings.CutSuffix(name, "…")
	var there []node
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(40 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.ctx, patience)
		nodes, err := p.nodes(ctx, roles)
		stop()
		if err != nil {
			continue // the page is between two
		}
		there = nodes
		for _, n := range nodes {
			if strings.EqualFold(n.name, name) || open && strings.HasPrefix(strings.ToLower(n.name), strings.ToLower(begin)) {
				return n
			}
		}
	}
	names := make([]string, len(there))
	for i, n := range there {
		names[i] = fmt.Sprintf("%s %q", n.role, n.name)
	}
	p.t.Fatalf("nothing is named %q; there are:\n%s", name, strings.Join(names, "\n"))
	return node{}
}

// aim scrolls a thing to where a thumb reaches it and gives its middle once it
// lies still; what lies over it would take the tap.
const aim = `async function() {
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
	if (!el.isConnected) return {gone: true};
	if (this.disabled) return {off: true};
	if (!over || !(el.contains(over) || over.contains(el) || this === over)) return {over: over ? over.outerHTML.slice(0, 200) : 'nothing: it is off the screen'};
	return {x, y};
}`

type spot struct {
	X, Y      float64
	Gone, Off bool
	Over      string
}

// reach gives the point where to touch a thing, waiting while it is covered or
// cannot be used.
func (p *phone) reach(roles []string, name string) (node, spot) {
	p.t.Helper()
	var n node
	var at spot
	var err error
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(40 * time.Millisecond) {
		n = p.find(roles, name)
		at = spot{}
		if err = p.on(n, aim, &at); err == nil && !at.Gone && !at.Off && at.Over == "" {
			return n, at
		}
	}
	switch {
	case at.Off:
		p.t.Fatalf("%s %q cannot be used", n.role, n.name)
	case at.Over != "":
		p.t.Fatalf("%s %q is covered by %s", n.role, n.name, at.Over)
	}
	p.t.Fatalf("%s %q does not stay: %v", n.role, n.name, err)
	return n, at
}

// on calls a JavaScript function with the thing as this.
func (p *phone) on(n node, js string, result any) error {
	ctx, stop := context.WithTimeout(p.ctx, patience)
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

// tap touches what bears the name.
func (p *phone) tap(name string) {
	p.t.Helper()
	_, at := p.reach(tappable, name)
	p.touch(at)
}

func (p *phone) touch(at spot) {
	p.t.Helper()
	p.do(chromedp.TapXY(at.X, at.Y))
}

// fill writes text into the field that bears the label, in place of what stands
// there.
func (p *phone) fill(label, text string) {
	p.t.Helper()
	n, at := p.reach(writable, label)
	p.touch(at)
	if err := p.on(n, `function() { this.focus(); this.select?.(); }`, nil); err != nil {
		p.t.Fatal(err)
	}
	p.call(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, input.InsertText, input.InsertTextParams{Text: text})
		return err
	})
}
