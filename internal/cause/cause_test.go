package cause

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

func pointer[T any](v T) *T { return &v }

// clean is the record of a bag in which everything went as usual.
func clean() Evidence {
	return Evidence{SoakStrength: pointer(50.), SoakCheck: &Check{PH: 11.5, Expected: 11.5, Verdict: soak.VerdictFresh}, SoakMinutes: pointer(50.), Tied: true,
		SoakGoods: 700, SoakServes: pointer(1500.), Hardness: pointer(60.), Cure: &Cure{Done: 1.3, Low: 1, High: 1.6, Hours: 30, Coldest: 21, Warmest: 23, IsRead: true},
		Dyes: []Dye{freshDye("rust"), freshDye("amber")}, DyePerGram: pointer(1.1), Fibre: goods.Cotton, Scoured: pointer(true),
		Baths: pointer(9), BathsNeeded: 9, Clear: pointer(true), FirstBath: pointer(15.), Rag: "clean", WashedAlone: pointer(true), HueGap: pointer(40.)}
}

func freshDye(name string) Dye {
	return Dye{Name: name, Class: dye.Dichlorotriazine, MadeStrength: pointer(25.), PlannedStrength: 25, AgeHours: pointer(1.), Freshness: string(cure.FreshnessGood)}
}

// spoiled has for each rule what spoils a clean record so that only that rule applies. What two of
// them have in common in touches cannot be wrong in both ways at once.
var spoiled = []struct {
	key, touches string
	spoil        func(*Evidence)
}{
	{"fibre", "fibre", func(r *Evidence) { r.Fibre = goods.Polyester }},
	{"not-scoured", "scour", func(r *Evidence) { r.Scoured = pointer(false) }},
	{"weak-soak", "strength", func(r *Evidence) { r.SoakStrength = pointer(12.) }},
	{"wrong-powder", "pH", func(r *Evidence) { r.SoakCheck = &Check{PH: 8.3, Expected: 11.5, Verdict: soak.VerdictWrongPowder} }},
	{"too-alkaline", "pH", func(r *Evidence) { r.SoakCheck = &Check{PH: 13.4, Expected: 11.5, Verdict: soak.VerdictTooAlkaline} }},
	{"spent-soak", "pH", func(r *Evidence) {
		r.SoakCheck = &Check{PH: 10, Expected: 11.5, Spent: 0.8, Verdict: soak.VerdictSpent}
	}},
	{"short-soak", "minutes", func(r *Evidence) { r.SoakMinutes = pointer(8.) }},
	{"crowded-soak", "goods", func(r *Evidence) { r.SoakGoods = 3200 }},
	{"hard-water", "water", func(r *Evidence) { r.Hardness = pointer(400.) }},
	{"weak-jug", "made", func(r *Evidence) { r.Dyes[0].MadeStrength = pointer(11.) }},
	{"strong-jug", "made", func(r *Evidence) { r.Dyes[0].MadeStrength = pointer(55.) }},
	{"old-dye", "age", func(r *Evidence) {
		r.Dyes[0].AgeHours, r.Dyes[0].Freshness = pointer(300.), string(cure.FreshnessDiscard)
	}},
	{"dye-with-soda", "age", func(r *Evidence) {
		age := pointer(8.)
		r.Dyes[0].AgeHours, r.Dyes[0].SodaAgeHours, r.Dyes[0].Freshness = pointer(9.), age, string(cure.FreshnessDiscard)
	}},
	{"too-little-dye", "dye", func(r *Evidence) { r.DyePerGram = pointer(0.35) }},
	{"too-much-dye", "dye", func(r *Evidence) { r.DyePerGram = pointer(2.6) }},
	{"needs-heat", "class", func(r *Evidence) { r.Dyes[0].Class, r.Dyes[1].Class = dye.Monochlorotriazine, dye.Monochlorotriazine }},
	{"unknown-class", "class", func(r *Evidence) { r.Dyes[0].Class, r.Dyes[1].Class = dye.UnknownClass, dye.UnknownClass }},
	{"two-classes", "class", func(r *Evidence) { r.Dyes[1].Class = dye.VinylSulfone }},
	{"opposites", "hue", func(r *Evidence) { r.HueGap = pointer(175.) }},
	{"short-cure", "cure", func(r *Evidence) {
		r.Cure = &Cure{Done: 0.35, Low: 0.25, High: 0.5, Hours: 12, Coldest: 8, Warmest: 14, IsRead: true}
	}},
	{"dried", "dried", func(r *Evidence) { r.Dried = &Dried{Hours: 20} }},
	{"few-baths", "baths", func(r *Evidence) { r.Baths = pointer(1) }},
	{"not-clear", "rag", func(r *Evidence) { r.Rag, r.Clear = "stained", pointer(false) }},
	{"hot-first", "first bath", func(r *Evidence) { r.FirstBath = pointer(65.) }},
	{"not-alone", "machine", func(r *Evidence) { r.WashedAlone = pointer(false) }},
	{"thickener", "thickener", func(r *Evidence) { r.Alginate = 14 }},
}

func ruleOf(t *testing.T, key string) Rule {
	t.Helper()
	i := slices.IndexFunc(Rules(), func(r Rule) bool { return r.Key == key })
	if i < 0 {
		t.Fatalf("there is no rule %s", key)
	}
	return Rules()[i]
}

func named(e Explanation) (keys []string) {
	for _, c := range e.Causes {
		keys = append(keys, c.Key)
	}
	return keys
}

// Each rule, spoiled alone, is named first for every fault that it can make, with its figure,
// how sure, what to do next time and its source; every rule and every fault has such a row.
func TestEachCauseIsNamedFirst(t *testing.T) {
	rules, faults := map[string]bool{}, map[Fault]int{}
	for _, r := range Rules() {
		rules[r.Key] = true
	}
	for _, s := range spoiled {
		delete(rules, s.key)
		for f := range ruleOf(t, s.key).Makes {
			r := clean()
			s.spoil(&r)
			e := Explain(r, []Fault{f}, unit.Style{})
			faults[f]++
			if got := named(e); len(got) != 1 || got[0] != s.key {
				t.Errorf("%s makes it %s: named %v", s.key, f, got)
				continue
			}
			c := e.Causes[0]
			if c.Figure == "" || c.Advice == "" || c.Title == "" || c.Source.Reliability == "" || c.Source.Text == "" || !(c.Score >= NamedFrom.Value && c.Score <= 1) {
				t.Errorf("%s: %+v", s.key, c)
			}
			if want := sureOf(c.Score); c.Sure != want {
				t.Errorf("%s: a score of %g is %s, not %s", s.key, c.Score, want, c.Sure)
			}
			if c.FaultsText != FaultWords([]string{string(f)}) {
				t.Errorf("%s: %q", s.key, c.FaultsText)
			}
		}
	}
	for key := range rules {
		t.Errorf("no record spoils rule %s", key)
	}
	for _, f := range Faults() {
		if faults[f.Fault] < 3 {
			t.Errorf("%d causes are tried for %s, at least 3", faults[f.Fault], f.Fault)
		}
	}
}

func sureOf(score float64) Sure {
	switch {
	case score >= LikelyFrom.Value:
		return Likely
	case score >= PossibleFrom.Value:
		return Possible
	}
	return Small
}

// Twenty clean records, each at another end of what is usual, name nothing for any fault.
func TestCleanRecordsNameNothing(t *testing.T) {
	changes := []func(*Evidence){
		func(*Evidence) {}, func(r *Evidence) { r.SoakStrength = pointer(soak.UsualStrength.Low) }, func(r *Evidence) { r.SoakStrength = pointer(soak.UsualStrength.High) },
		func(r *Evidence) { r.SoakCheck = nil }, func(r *Evidence) { r.SoakCheck.Spent = 0.1 }, func(r *Evidence) { r.SoakMinutes = pointer(45.) },
		func(r *Evidence) { r.Tied, r.SoakMinutes = false, pointer(20.) }, func(r *Evidence) { r.SoakGoods = 1500 }, func(r *Evidence) { r.Hardness = pointer(120.) },
		func(r *Evidence) { r.Dyes[0].MadeStrength = pointer(23.) }, func(r *Evidence) { r.Dyes[0].MadeStrength = pointer(28.) }, func(r *Evidence) { r.Dyes[0].Freshness = string(cure.FreshnessUseSoon) },
		func(r *Evidence) { r.DyePerGram = pointer(0.95) }, func(r *Evidence) { r.DyePerGram = pointer(1.5) }, func(r *Evidence) { r.Fibre = goods.Viscose },
		func(r *Evidence) { r.Cure.Done, r.Cure.Low = 1, 0.8 }, func(r *Evidence) { r.Cure.Done, r.Cure.High = 2.8, 3.5 }, func(r *Evidence) { r.Baths = pointer(7) },
		func(r *Evidence) { r.FirstBath = pointer(30.) }, func(r *Evidence) { r.HueGap = pointer(100.) },
	}
	if len(changes) != 20 {
		t.Fatalf("%d records, not 20", len(changes))
	}
	for i, change := range changes {
		for _, f := range Faults() {
			r := clean()
			change(&r)
			e := Explain(r, []Fault{f.Fault}, unit.Style{})
			if len(e.Causes) > 0 || e.Headline != "nothing in the record explains it" {
				t.Errorf("clean record %d, %s: %q %v", i+1, f.Fault, e.Headline, named(e))
			}
		}
	}
}

// Of any two causes at once, each with any fault it makes, both are among the first three.
func TestTwoCausesAtOnce(t *testing.T) {
	pairs := 0
	for i, a := range spoiled {
		for _, b := range spoiled[:i] {
			if a.touches == b.touches {
				continue
			}
			for fa := range ruleOf(t, a.key).Makes {
				for fb := range ruleOf(t, b.key).Makes {
					r := clean()
					a.spoil(&r)
					b.spoil(&r)
					got := named(Explain(r, []Fault{fa, fb}, unit.Style{}))
					if first := got[:min(3, len(got))]; !slices.Contains(first, a.key) || !slices.Contains(first, b.key) {
						t.Errorf("%s (%s) and %s (%s): named %v", a.key, fa, b.key, fb, got)
					}
					pairs++
				}
			}
		}
	}
	if pairs < 1000 {
		t.Errorf("only %d pairs", pairs)
	}
}

// A figure that is further off never makes a cause less sure, and none is off within its limits.
func TestWorseFiguresScoreMore(t *testing.T) {
	figures := map[string]func(r *Evidence, v float64){
		"weak-soak":      func(r *Evidence, v float64) { r.SoakStrength = &v },
		"hard-water":     func(r *Evidence, v float64) { r.Hardness = &v },
		"too-little-dye": func(r *Evidence, v float64) { v *= fullPickUp.Value; r.DyePerGram = &v },
		"too-much-dye":   func(r *Evidence, v float64) { v *= fullPickUp.Value; r.DyePerGram = &v },
		"weak-jug":       func(r *Evidence, v float64) { v *= 25; r.Dyes[0].MadeStrength = &v },
		"strong-jug":     func(r *Evidence, v float64) { v *= 25; r.Dyes[0].MadeStrength = &v },
		"short-soak":     func(r *Evidence, v float64) { v *= usualTiedSoakMinutes; r.SoakMinutes = &v },
		"short-cure":     func(r *Evidence, v float64) { r.Cure.Done, r.Cure.Low, r.Cure.High = v, v*0.9, v*1.1 },
		"hot-first":      func(r *Evidence, v float64) { r.FirstBath = &v },
		"opposites":      func(r *Evidence, v float64) { r.HueGap = &v },
	}
	for key, set := range figures {
		rule := ruleOf(t, key)
		if rule.Fine == rule.Bad {
			t.Errorf("%s has no limits", key)
			continue
		}
		var worst Fault
		for f, w := range rule.Makes {
			if w > rule.Makes[worst] {
				worst = f
			}
		}
		score := func(v float64) float64 {
			r := clean()
			set(&r, v)
			for _, c := range Explain(r, []Fault{worst}, unit.Style{}).Causes {
				if c.Key == key {
					return c.Score
				}
			}
			return 0
		}
		rapid.Check(t, func(t *rapid.T) {
			from := rapid.Float64Range(-0.5, 1.5).Draw(t, "how far")
			further := from + rapid.Float64Range(0, 1).Draw(t, "further")
			at := func(x float64) float64 { return rule.Fine + x*(rule.Bad-rule.Fine) }
			a, b := score(at(from)), score(at(further))
			if a > b+1e-9 || from <= 0 && a != 0 || b > rule.Makes[worst]+1e-9 || math.IsNaN(a+b) {
				t.Fatalf("%s: %g scores %g, %g scores %g", key, at(from), a, at(further), b)
			}
		})
	}
}

// An empty record names no cause, says what is missing and does not say that all went well.
func TestEmptyRecord(t *testing.T) {
	for _, f := range Faults() {
		e := Explain(Evidence{}, []Fault{f.Fault}, unit.Style{})
		if len(e.Causes) > 0 || len(e.Missing) == 0 || e.Headline != "nothing in the record explains it" {
			t.Errorf("%s: %+v", f.Fault, e)
		}
	}
	if e := Explain(clean(), nil, unit.Style{}); len(e.Causes) > 0 || e.Headline != "choose what is wrong with it" {
		t.Errorf("without a fault: %+v", e)
	}
}

// A cure whose range reaches the whole time is possible at most; an assumed temperature counts less.
func TestUncertainCure(t *testing.T) {
	score := func(c Cure) float64 {
		r := clean()
		r.Cure = &c
		e := Explain(r, []Fault{Pale}, unit.Style{})
		if len(e.Causes) != 1 {
			t.Fatalf("%+v: named %v", c, named(e))
		}
		return e.Causes[0].Score
	}
	sure, wide := Cure{Done: 0.4, Low: 0.3, High: 0.6, IsRead: true}, Cure{Done: 0.4, Low: 0.2, High: 1.1, IsRead: true}
	assumed := sure
	assumed.IsRead = false
	if a, b, c := score(sure), score(wide), score(assumed); !(a >= LikelyFrom.Value && b < LikelyFrom.Value && b >= PossibleFrom.Value && c < a) {
		t.Errorf("sure %g, a wide range %g, assumed %g", a, b, c)
	}
}

// A blend stays as white as its synthetic part is large; two causes of equal score keep the order of the job.
func TestBlendsAndOrder(t *testing.T) {
	last := 0.0
	for _, share := range []float64{0.3, 0.5, 0.65} {
		r := clean()
		r.Fibre, r.FibreShare = goods.Polyester, share
		e := Explain(r, []Fault{Pale}, unit.Style{})
		if len(e.Causes) != 1 || !(e.Causes[0].Score > last) || !strings.HasPrefix(e.Causes[0].Figure, fmt.Sprintf("%.0f %%", share*100)) {
			t.Fatalf("%g polyester: %+v after %g", share, e.Causes, last)
		}
		last = e.Causes[0].Score
	}
	r := clean()
	r.SoakStrength, r.Dyes[0].MadeStrength = pointer(10.), pointer(5.)
	if got := named(Explain(r, []Fault{Pale}, unit.Style{})); fmt.Sprint(got) != "[weak-soak weak-jug]" {
		t.Errorf("named %v", got)
	}
}

func TestParseFault(t *testing.T) {
	for _, f := range Faults() {
		for _, typed := range []string{string(f.Fault), f.Words, " " + strings.ToUpper(f.Words) + " "} {
			if got, err := ParseFault(typed); err != nil || got != f.Fault {
				t.Errorf("%q: %q %v", typed, got, err)
			}
		}
	}
	if _, err := ParseFault("ugly"); !fault.Is(err, fault.Input) {
		t.Errorf("a fault that nobody knows: %v", err)
	}
}
