//go:build unix

package screens_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/calc"
	"coldbatch/internal/phonetest"
)

// exampleIDs returns ids of the invented example: a batch that is dyed and one that is planned, a bag
// that cures and one that was opened, a place, and what a label carries.
const exampleIDs = `(async () => {
		const {loadBatches, loadPlaces, loadShelf} = await appModule('/journal/states.js'), {batchView} = await appModule('/journal/views.js');
		const all = await loadBatches(), full = all.find(b => b.bags?.length), view = await batchView(full.id);
		const bag = stage => view.bags.find(b => b.stage === stage);
		const planned = all.find(b => !b.bags?.length);
		return {batch: full.id, planned: planned.id, piece: planned.pieces[0].id, bag: bag('cure').id, wet: bag('opened').id,
			place: Object.keys(await loadPlaces())[0], stock: (await loadShelf()).shelf.items[0].id, code: bag('cure').code};
	})()`

// Every screen, of the invented example: no complaint of the console or of the
// content policy, no request to another origin (the phone fails on those by
// itself), one heading, a name on all that can be touched, room for a thumb, text
// that stands out in light and dark, and nothing cut off on a small phone whose
// owner reads at twice the size.
func TestEveryScreen(t *testing.T) {
	t.Parallel()
	_, p := phonetest.Start(t, "--example")
	p.WaitForText("invented example", "open batches")
	ids := phonetest.Evaluate[struct{ Batch, Planned, Piece, Bag, Wet, Place, Stock, Code string }](p, exampleIDs)
	planned, batch := "/batch/"+ids.Planned, "/batch/"+ids.Batch
	type screen struct {
		path, text string
		dialog     string // the button that opens a dialog, which is audited too
	}
	screens := []screen{
		{"/", "keep wet and warm", "New batch"},
		{"/batches", "open", ""},
		{batch, "bags", "Change the name"},
		{planned, "colours", "End this batch"},
		{planned + "/plan", "wash it out", ""},
		{planned + "/pieces", "add", "Tote bag"},
		{planned + "/colours", "add a colour", "violet"},
		{planned + "/soak", "soda ash", ""},
		{batch + "/soak", "soda ash", ""},
		{planned + "/jugs", "jug", ""},
		{"/squeeze", "measuring jug", ""},
		{batch + "/bagging", "close bag", ""},
		{batch + "/labels", "at 100 %", "A4, 70…"},
		{batch + "/history", "history", ""},
		{"/bag/" + ids.Batch + "/" + ids.Bag, "label", "Label"},
		{"/bag/" + ids.Batch + "/" + ids.Wet, "rinse", ""},
		{"/bag/" + ids.Batch + "/" + ids.Wet + "/result", "evenness", ""},
		{"/bag/" + ids.Batch + "/" + ids.Wet + "/why", "what is wrong", ""},
		{"/bag/" + ids.Batch + "/" + ids.Wet + "/card", "do not bleach", ""},
		{batch + "/sheet", "us letter", ""},
		{batch + "/again", "how it was done", ""},
		{batch + "/compare", "which batch", ""},
		{"/results", "found", ""},
		{"/bags", "keep wet and warm", ""},
		{"/b/" + ids.Code, "bag", ""},
		{"/scan", "which bag", ""},
		{"/scan/shelf", "check the shelf", ""},
		{"/sums", "dye for a bottle", ""},
		{"/shelf", "places", "New place"},
		{"/shelf", "powders", "Add to the shelf"},
		{"/stock/" + ids.Stock, "History", "Add a purchase"},
		{"/place/" + ids.Place, "usual night and day", "Add a sensor"},
		{"/phone", "hub", ""},
		{"/check", "what was checked", ""},
		{"/nowhere", "page", ""},
	}
	for _, e := range calc.All() {
		screens = append(screens, screen{"/sums/" + e.Name, e.Inputs[0].Label, ""})
	}
	// The table of screens/index.js decides which screens there are: one that the list
	// above does not have is audited too, once it has its heading.
	examples := strings.NewReplacer("/batch/:batch/fold/:piece", planned+"/fold/"+ids.Piece, "/fold/start/:name", "/fold/start/Sunrise", "/fold/design/:id", "/fold/design/none", "/batch/:id", batch, "/place/:id", "/place/"+ids.Place, "/stock/:id", "/stock/"+ids.Stock, ":batch", ids.Batch, ":bag", ids.Bag, ":code", ids.Code)
	routes := map[string]*regexp.Regexp{}
	for _, route := range phonetest.Evaluate[[]string](p, `appModule('/screens/index.js').then(({routes}) => routes.map(([path]) => path))`) {
		routes[route] = regexp.MustCompile("^" + regexp.MustCompile(`:\w+`).ReplaceAllString(route, "[^/]+") + "$")
		if slices.ContainsFunc(screens, func(s screen) bool { return routes[route].MatchString(s.path) }) {
			continue
		}
		path := examples.Replace(route)
		if strings.Contains(path, ":") {
			t.Errorf("no example for %s: add what its parameter stands for to examples in this test", route)
			continue
		}
		screens = append(screens, screen{path, "", ""})
	}
	shorten := strings.NewReplacer(ids.Batch, "ID", ids.Planned, "ID", ids.Bag, "BAG", ids.Wet, "BAG", ids.Place, "ID", ids.Code, "CODE")
	loaded := map[string]bool{"/": true} // by route
	for _, s := range screens {
		// Each screen is loaded once, as by a link from elsewhere.
		route := ""
		for r, pattern := range routes {
			if pattern.MatchString(s.path) {
				route = r
			}
		}
		if loaded[route] {
			p.GoTo(s.path)
		} else {
			p.Open(s.path)
		}
		loaded[route] = true
		if s.text == "" {
			p.WaitFor("the heading of "+s.path, `document.querySelector('h1')?.textContent.trim()`)
		}
		p.WaitForText(s.text)
		if where := shorten.Replace(s.path); s.dialog == "" {
			p.AuditAppearances(where)
		} else {
			p.AuditAppearances(where, s.dialog)
		}
	}
}
