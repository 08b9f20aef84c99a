//go:build unix

package bags_test

import (
	"fmt"
	"slices"
	"strings"

	"coldbatch/internal/batchview"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
)

// plan has the owner say that the tees are a blend, and compares the page before and after with the core.
func (s *twoPhones) plan() {
	p := s.owner
	p.GoTo(s.path + "/plan")
	before := s.comparePlan()
	picture(p, "plan")
	p.Tap("Change the pieces")
	p.Tap("8 tees, medium…")
	p.Tap("Made of: cotton")
	p.Fill("Made of", "60 % cotton, 60 % polyester")
	p.WaitForText("120 %")
	p.Tap("60 % cotton, 40 % polyester")
	p.WaitForText("half the depth, heathered; seams stay white")
	p.Tap("Save")
	p.WaitForText("Pieces changed")
	p.GoTo(s.path + "/plan")
	after := s.comparePlan()
	if slices.Equal(before.Notes, after.Notes) {
		s.Errorf("the plan takes no notice of the blend: %v", after.Notes)
	}
	p.WaitForSync()
}

// comparePlan compares the page of the plan with the core, and returns the core's.
func (s *twoPhones) comparePlan() batchview.PlanView {
	s.Helper()
	var v batchview.PlanView
	s.waitForFigures(s.owner, func() []string {
		state, e := s.state(s.owner)
		v = batchview.ViewPlan(state, shelf.State{}, nil, e)
		figures := append([]string{v.Pieces, v.DyeTotal}, v.Notes...)
		for _, j := range v.Jugs {
			figures = append(figures, j.Colour.Name+": "+j.Powder+" in "+j.Volume, j.Need, j.Worn, j.Bottles)
		}
		for _, r := range v.Rows {
			figures = append(figures, r.Title, r.Text, r.Detail)
		}
		for _, step := range v.Times.Steps {
			figures = append(figures, step.Title, step.OnePerson, step.TwoPeople)
		}
		return figures
	})
	if len(v.Jugs) != 6 || !strings.HasPrefix(v.Pieces, "24 pieces") || len(v.Rows) < 3 || len(v.Times.Steps) < 3 {
		s.Fatalf("the plan is %+v", v)
	}
	return v
}

// mix has the owner mix all jugs as planned; the helper's phone says that powder is open meanwhile. A bottle is
// filled from the first jug.
func (s *twoPhones) mix() {
	p := s.owner
	jugs := s.view(p).Jugs
	p.GoTo(s.path + "/jugs")
	p.WaitForText("weigh")
	p.Tap("Open powder")
	p.WaitForText("others out")
	s.helper.WaitForText("dye powder is open", "another phone")
	for i, j := range jugs {
		p.WaitForText(fmt.Sprintf("jug %d of 6: weigh %s", i+1, j.Powder))
		p.Tap("Mixed, made up to " + j.Volume)
		p.WaitForText("jug of " + j.Colour.Name + " mixed")
		p.CheckFocus("after a jug")
	}
	p.Tap("Close powder")
	p.WaitForText("All jugs are mixed")
	s.helper.WaitForNoText("dye powder is open")
	mixed := p.RecordedBodies(s.path, journal.KindJugMixed)
	if len(mixed) != 6 || slices.ContainsFunc(mixed, func(body map[string]any) bool { return body["powder"] == 0.0 }) {
		s.Errorf("the jugs are %v", mixed)
	}
	p.Tap(jugs[0].Colour.Name + "…")
	p.Tap("Fill bottles with a different amount")
	p.Fill("Into each bottle", "100 mL")
	p.Tap("Filled")
	p.WaitForText("1 bottle filled")
	s.waitForFigures(p, func() []string { return []string{s.view(p).Jugs[0].LeftText} })
	picture(p, "jug-filled")
}

// measureBottle has the helper measure the squeeze bottle on the way to the first bag, whose card then counts
// squeezes.
func (s *twoPhones) measureBottle() {
	p := s.helper
	p.GoTo(s.path + "/bagging")
	p.Tap("Squeeze bottle…")
	p.WaitForText("20 times into a measuring jug")
	p.Tap("6")
	p.Tap("0")
	p.WaitForText("That is 3 mL a squeeze")
	picture(p, "squeeze")
	p.Tap("Save")
	p.WaitForText("One squeeze gives 3 mL")
	s.waitForCard(p)
	for _, c := range s.view(p).Queue[0].Colours {
		if !strings.HasSuffix(c.Squeeze, " a side") {
			s.Errorf("%s is not counted in squeezes", c.Name)
		}
	}
}
