//go:build unix

package screens_test

import (
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// countWorkers notes which of its programs a page starts.
const countWorkers = `{
	const Real = Worker;
	globalThis.workersStarted = [];
	globalThis.Worker = class extends Real {
		constructor(url, options) { super(url, options); workersStarted.push(options?.name ?? 'core'); }
	};
}`

// A dyer takes a design to start from, changes it under the thumb, keeps it, says how it
// came out, and uses it for the pieces of a batch, whose plan then follows it.
func TestFoldUnderTheThumb(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.WaitForSync()
	p.AddScript(countWorkers)
	p.Reload()
	p.WaitForSync()
	if names := phonetest.Evaluate[[]string](p, `workersStarted`); !slices.Equal(names, []string{"core"}) {
		t.Errorf("the first screen started the workers %q", names)
	}
	p.GoTo("/fold")
	p.WaitForText("Snail shell", "Storm sky")
	p.Tap("Snail shell Spiral")
	p.WaitForText("White inside", "Side A", "Side B")
	p.WaitFor("the picture", `document.querySelector('canvas').width === 384`)
	p.Audit("the fold screen")

	// The ring in the middle follows the thumb, and the cloth with it.
	const handle = `document.querySelector('.center-handle')`
	phonetest.Evaluate[any](p, `(() => { globalThis.before = document.querySelector('canvas').toDataURL(); return 1; })()`)
	phonetest.Evaluate[any](p, `(() => { const h = `+handle+`; h.focus(); for (let i = 0; i < 6; i++) h.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowUp', bubbles: true})); return 1; })()`)
	p.WaitFor("another picture", `document.querySelector('canvas').toDataURL() !== globalThis.before`)

	// Less dye leaves white, and the card says how to reduce it.
	phonetest.Evaluate[any](p, `(() => { for (const d of document.querySelectorAll('main details')) d.open = true; return 1; })()`)
	phonetest.Evaluate[any](p, `(() => { const s = [...document.querySelectorAll('input[type=range]')].find((x) => x.labels[0].innerText.startsWith('Dye planned')); s.value = 50; s.dispatchEvent(new Event('input', {bubbles: true})); return 1; })()`)
	p.WaitForText("50 % of what the cloth holds", "To leave less white", "deep in the folds")

	p.Tap("Save")
	p.Fill("Name", "Our snail")
	p.Tap("Save design")
	p.WaitForText("Our snail saved")
	p.Tap("More")
	p.Tap("How it came out…")
	p.Tap("None")
	p.WaitForText("corrected by your result")

	p.GoTo("/fold")
	p.WaitForText("Your designs", "Our snail")

	// What the code holds is the same design.
	p.Tap("Our snail Spiral")
	p.WaitForText("Side A")
	code := phonetest.Evaluate[string](p, `appModule('/core/extra.js').then(async ({callExtra}) => (await callExtra('fold.encode', (await callExtra('fold.choices', {})).starters[3])).code)`)
	p.Open("/fold/code/" + code)
	p.WaitForText("Pond rings", "All round")

	p.GoTo(strings.TrimSuffix(batch, "/") + "/pieces")
	piece := phonetest.Evaluate[string](p, `appModule('/journal/states.js').then((m) => m.loadState('batch/`+strings.TrimPrefix(batch, "/batch/")+`')).then((s) => s.pieces[0].id)`)
	p.GoTo(batch + "/fold/" + piece)
	p.WaitForText("White inside", "Use it for")
	p.WaitForText("Side A")
	p.Tap("Use it for…")
	p.WaitForText("chosen")

	// The card at the table and the sheet of the batch say what goes on which section, beside the picture.
	p.GoTo(batch + "/bagging")
	p.WaitFor("the queue", `document.getElementById('p`+piece+`')`)
	phonetest.Evaluate[any](p, `(() => { document.getElementById('p`+piece+`').click(); return 1; })()`)
	p.WaitForText("Side A", "Side B")
	p.WaitFor("the picture", `document.querySelector('.table-card canvas').width === 256 && document.querySelector('.table-card .bundle')`)
	p.Audit("the card at the table")
	p.GoTo(batch + "/sheet")
	p.WaitForText("Side A", "Side B")
	for _, kind := range []string{journal.KindDesignKept, journal.KindDesignTried, journal.KindPieceDesigned} {
		hubtest.WaitUntil(t, kind+" on the program", func() bool { return h.CountFacts(kind) == 1 })
	}
}
