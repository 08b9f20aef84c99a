//go:build unix

package bags_test

import (
	"fmt"
	"math"

	"coldbatch/internal/phonetest"
)

// chooseStarterDesign gives the first piece of a batch the first design to start from.
const chooseStarterDesign = `(async (batch) => {
	const {callExtra} = await appModule('/core/extra.js'), {record} = await appModule('/journal/journal.js');
	const {loadState} = await appModule('/journal/states.js');
	const design = (await callExtra('fold.choices', {})).starters[0], {code} = await callExtra('fold.encode', design);
	const scope = 'batch/' + batch, [piece] = (await loadState(scope)).pieces;
	await record([{scope, subject: piece.id, kind: 'piece.designed', body: {name: design.name, code, fold: 'spiral', steps: []}}]);
	return design.fold.kind;
})`

// designResults is what the app knows of how designs came out.
const designResults = `appModule('/journal/states.js').then((m) => m.loadState('designs')).then((d) => d.results, () => [])`

// corners are those of a square in the middle of a picture, of that side.
func corners(side float64) [][2]float64 {
	low, high := 0.5-side/2, 0.5+side/2
	return [][2]float64{{low, low}, {high, low}, {high, high}, {low, high}}
}

// checkTracedWhite traces white on the photo of a bag whose piece has a design: a quarter of the
// cloth. It is the bag's rating and what the fold goes by, both taken off and put back together.
func checkTracedWhite(p *phonetest.Phone, batch, bag string) {
	p.T.Helper()
	kind := phonetest.Evaluate[string](p, chooseStarterDesign+`("`+batch[len("/batch/"):]+`")`)
	p.GoTo(bag + "/result")
	p.Tap("Trace white")
	p.WaitForDialog()
	p.WaitFor("the picture", `document.querySelector('.photo-trace img')?.naturalWidth > 0`)
	p.WaitForText("draw around the cloth")
	p.Draw(".photo-trace svg", corners(0.9)...)
	p.WaitForText("now draw around each part", "0 % of the cloth")
	p.Draw(".photo-trace svg", corners(0.3)...)
	p.WaitForText("11 % of the cloth")
	p.Tap("Remove line")
	p.WaitForText("0 % of the cloth")
	p.Draw(".photo-trace svg", corners(0.45)...)
	p.WaitForText("25 % of the cloth")
	p.Audit("white that was traced")
	picture(p, "traced-white")
	p.Tap("Save")
	p.WaitForText("bag 1: 25 % white left")

	result := func(what string, want int) {
		p.T.Helper()
		type tried struct {
			Fold          string
			White, Effect float64
		}
		p.WaitFor(what, designResults+fmt.Sprintf(`.then((r) => r.length === %d)`, want))
		for _, r := range phonetest.Evaluate[[]tried](p, designResults) {
			if r.Fold != kind || r.White != 0.25 || r.Effect <= 0 || r.Effect == 1 || math.IsNaN(r.Effect) {
				p.T.Errorf("%s: the fold goes by %+v", what, r)
			}
		}
	}
	result("a result of the design", 1)
	p.Tap("White left: 25 %")
	p.WaitForText("white left taken off")
	result("no result", 0)
	p.Tap("Undo")
	p.WaitForText("undone")
	result("the result is back", 1)
	p.Tap("White left: 5 %") // rated anew: one result of the bag, not two
	p.WaitForText("5 % white left")
	if list := phonetest.Evaluate[[]any](p, designResults); len(list) != 1 {
		p.T.Errorf("a bag that was rated twice is %d results", len(list))
	}

	// Undone in the history, the fold goes by the earlier rating again; restored, by this one.
	white := func(what string, want float64) {
		p.T.Helper()
		p.WaitFor(what, designResults+fmt.Sprintf(`.then((r) => r.length === 1 && r[0].white === %g)`, want))
	}
	white("the rating that was given last", 0.05)
	p.GoTo(batch + "/history")
	p.Tap("Undo: bag 1 rated: 5 % stayed white") // the newest line of that name
	p.WaitForText("· undone")
	white("the rating before it", 0.25)
	p.Tap("Restore: bag 1 rated: 5 % stayed white")
	p.WaitForText("restored")
	white("the restored rating", 0.05)
}
