//go:build unix

package screens_test

import (
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// planFigures are figures of the core that the plan must show, and those of the shelf.
type planFigures struct {
	Plan struct {
		Pieces string
		Jugs   []struct{ Powder, Volume, Bottles, Lacks string }
		Rows   []struct{ Text, Detail string }
		Lacks  []struct{ Name, Text string }
		Cost   struct{ Each, All string }
		Times  struct {
			Steps  []struct{ One, Two string }
			Places []struct{ Ready, Safe, Start string }
		}
	}
	Shelf struct {
		Groups []struct {
			Items []struct{ Amount, Facts string }
		}
		Buy  []struct{ Text string }
		List string
	}
}

// The figures on the screens Plan and Shelf are those of the core, before and after one thing is
// changed: twenty more pieces change the dye, the soda ash, the bags, the hours and what is lacking.
// Mixing a jug takes its powder off the shelf, undoing it brings it back.
func TestPlanShowsTheFiguresOfTheCore(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p := phonetest.Start(t, "--example")
	p.WaitForText("invented example", "open batches")
	id := phonetest.Evaluate[string](p, `appModule('/journal/states.js').then(async ({loadBatches}) => (await loadBatches()).find(b => !b.bags?.length).id)`)
	core := func() planFigures {
		return phonetest.Evaluate[planFigures](p, fmt.Sprintf(`appModule('/journal/views.js').then(async ({planView, shelfView}) =>
			({Plan: await planView(%q), Shelf: await shelfView()}))`, id))
	}
	record := func(kind, body string) {
		phonetest.Evaluate[bool](p, fmt.Sprintf(`appModule('/journal/journal.js').then(({record}) =>
			record([{scope: 'batch/%s', kind: %q, body: %s}], {undo: 'Recorded'})).then(() => true)`, id, kind, body))
	}
	plain := strings.NewReplacer("\u00a0", " ", "\n", " ")
	check := func(path string, figures ...string) {
		t.Helper()
		p.GoTo(path)
		for _, figure := range figures {
			if figure == "" {
				continue
			}
			p.WaitFor(fmt.Sprintf("%q on %s", figure, path), fmt.Sprintf(`document.querySelector('main').textContent.replaceAll('\u00a0', ' ').toLowerCase().includes(%q)`,
				strings.ToLower(plain.Replace(figure))))
		}
	}
	checkPlan := func() planFigures {
		t.Helper()
		f := core()
		shown := []string{f.Plan.Pieces, f.Plan.Cost.Each, f.Plan.Cost.All}
		for _, j := range f.Plan.Jugs {
			shown = append(shown, j.Powder+" in "+j.Volume, j.Bottles, j.Lacks)
		}
		for _, r := range f.Plan.Rows {
			shown = append(shown, r.Text, r.Detail)
		}
		for _, l := range f.Plan.Lacks {
			shown = append(shown, l.Text)
		}
		for _, s := range f.Plan.Times.Steps {
			shown = append(shown, s.One, s.Two)
		}
		for _, place := range f.Plan.Times.Places {
			shown = append(shown, place.Ready, place.Safe, place.Start)
		}
		check("/batch/"+id+"/plan", shown...)
		return f
	}
	before := checkPlan()
	if len(before.Plan.Jugs) != 2 || len(before.Plan.Rows) < 3 || len(before.Plan.Times.Places) < 2 || before.Plan.Cost.Each == "" {
		t.Fatalf("the example's plan says too little: %+v", before.Plan)
	}
	record(journal.KindPieceAdded, `{"kind":"tee-m","count":20,"grams":150,"fibre":"cotton"}`)
	after := checkPlan()
	for what, pair := range map[string][2]string{
		"dye":       {before.Plan.Jugs[0].Volume, after.Plan.Jugs[0].Volume},
		"soda ash":  {before.Plan.Rows[0].Text, after.Plan.Rows[0].Text},
		"bags":      {before.Plan.Rows[2].Text, after.Plan.Rows[2].Text},
		"cost":      {before.Plan.Cost.All, after.Plan.Cost.All},
		"time":      {fmt.Sprint(before.Plan.Times.Steps), fmt.Sprint(after.Plan.Times.Steps)},
		"the shelf": {before.Shelf.List, after.Shelf.List},
	} {
		if pair[0] == pair[1] {
			t.Errorf("20 more pieces leave %s at %q", what, pair[0])
		}
	}
	checkShelf := func() planFigures {
		t.Helper()
		f := core()
		var shown []string
		for _, g := range f.Shelf.Groups {
			for _, s := range g.Items {
				shown = append(shown, s.Amount, s.Facts)
			}
		}
		for _, l := range f.Shelf.Buy {
			shown = append(shown, l.Text)
		}
		check("/shelf", shown...)
		return f
	}
	full := checkShelf().Shelf.Groups[0].Items
	colour := phonetest.Evaluate[string](p, fmt.Sprintf(`appModule('/journal/views.js').then(async ({batchView}) => (await batchView(%q)).colours.find(c => c.stock).id)`, id))
	record(journal.KindJugMixed, fmt.Sprintf(`{"colour":%q,"powder":12.3,"ml":500}`, colour))
	if used := checkShelf().Shelf.Groups[0].Items; fmt.Sprint(used) == fmt.Sprint(full) {
		t.Errorf("a jug was mixed, and the shelf still has %v", full)
	}
	p.Tap("Undo")
	p.WaitForText("Undone")
	if again := checkShelf().Shelf.Groups[0].Items; fmt.Sprint(again) != fmt.Sprint(full) {
		t.Errorf("the jug was undone, and the shelf has %v, not %v", again, full)
	}
}
