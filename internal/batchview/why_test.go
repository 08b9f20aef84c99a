package batchview

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/cause"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// done is a batch as it was done, in figures that a test changes. Times are hours before the
// bag was closed.
type done struct {
	fibre              string
	share              float64
	scoured            bool
	grams              float64
	pieces             int
	tied               bool
	soda, water        float64
	ph                 float64
	soakMinutes        float64
	hardness           float64
	classes            [2]string
	rgb                [2]string
	powder             [2]float64
	ml                 float64
	age, sodaAge       float64
	alginate           float64
	perGram            float64
	celsius, cureHours float64
	read               bool
	dry                float64 // hours; 0 is never
	wetted             bool
	baths              int
	clear              bool
	firstBath          float64
	rag                string
	alone              bool
}

// good is a batch in which everything went as usual.
func good() done {
	return done{fibre: "cotton", scoured: true, grams: 160, pieces: 4, tied: true, soda: 150, water: 3000, ph: 11.5, soakMinutes: 50, hardness: 60,
		classes: [2]string{"dichlorotriazine", "dichlorotriazine"}, rgb: [2]string{"#b5372a", "#e0a31c"}, powder: [2]float64{9, 9}, ml: 360, age: 1,
		perGram: 1.15, celsius: 22, cureHours: 30, read: true, baths: 9, clear: true, firstBath: 15, rag: "clean", alone: true}
}

const whyStart = zone.Instant(1_770_000_000_000)

// state builds the batch from its facts.
func (d done) state(t testing.TB) (batch.State, journal.ID) {
	t.Helper()
	const bag = 51
	n := 0
	var facts []journal.Fact
	add := func(hours float64, subject int, kind string, body any) {
		t.Helper()
		n++
		text, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		k, _ := journal.FindKind(kind)
		at := whyStart.Add(zone.Span(hours * float64(zone.Hour)))
		f := journal.Fact{ID: testID(1000 + n), Stamp: journal.Stamp{Milliseconds: whyStart.Add(zone.Span(n) * zone.Second)}, Device: testID(phoneNo),
			Scope: journal.BatchScope(testID(batchNo)), Subject: testID(subject), Kind: kind, Version: k.Version, NeededVersion: k.NeededVersion, At: at, TZ: "UTC", Body: text}
		if err := f.CheckBody(); err != nil {
			t.Fatalf("%s: %v", kind, err)
		}
		facts = append(facts, f)
	}
	warm := d.celsius
	add(-50, batchNo, journal.KindBatchStarted, journal.BatchStarted{Name: "test", Secret: testID(2)})
	add(-49, pieceNo, journal.KindPieceAdded, journal.PieceAdded{Kind: "tee-m", Count: d.pieces, Grams: d.grams, Fibre: d.fibre, MainFibreShare: d.share})
	add(-49, pieceNo2, journal.KindPieceAdded, journal.PieceAdded{Kind: "napkin", Count: 1, Grams: 30, Fibre: "cotton"})
	add(-48, pieceNo2, journal.KindPieceScoured, journal.PieceScoured{})
	if d.scoured {
		add(-48, pieceNo, journal.KindPieceScoured, journal.PieceScoured{})
	}
	if d.tied {
		add(-5, pieceNo, journal.KindPieceTied, journal.PieceTied{Fold: "spiral"})
	}
	add(-4, soakNo, journal.KindSoakMixed, journal.SoakMixed{WaterML: d.water, SodaGrams: d.soda, Hardness: d.hardness, Celsius: pointer(25.)})
	if d.ph > 0 {
		add(-3.9, soakNo, journal.KindSoakChecked, journal.SoakChecked{PH: d.ph, MeasuredWith: "meter"})
	}
	add(-3, soakNo, journal.KindSoakBegun, journal.SoakPieces{})
	add(-3+d.soakMinutes/60, soakNo, journal.KindSoakEnded, journal.SoakPieces{})
	var colours []journal.ColourInBag
	for i, c := range []int{colourNo, colourNo2} {
		jug := []int{jugNo, jugNo2}[i]
		add(-40, c, journal.KindColourChosen, journal.ColourChosen{Name: []string{"rust", "amber"}[i], CapLetters: []string{"RU", "AM"}[i], RGB: d.rgb[i], Class: d.classes[i],
			Strength: 25, Depth: 1})
		add(-d.age, jug, journal.KindJugMixed, journal.JugMixed{Colour: testID(c), PowderGrams: d.powder[i], VolumeML: d.ml, AlginateGrams: d.alginate * d.ml / 1000})
		if d.sodaAge > 0 {
			add(-d.sodaAge, jug, journal.KindJugActivated, journal.JugActivated{SodaGrams: 5})
		}
		colours = append(colours, journal.ColourInBag{Colour: testID(c), Share: 0.5})
	}
	if d.perGram > 0 {
		add(-0.1, pieceNo, journal.KindPieceDyed, journal.PieceDyed{Sections: []journal.Section{
			{Colour: testID(colourNo), ML: d.perGram * d.grams / 2}, {Colour: testID(colourNo2), ML: d.perGram * d.grams / 2}}})
	}
	closed := journal.BagClosed{Number: 1, Pieces: []journal.PieceInBag{{Piece: testID(pieceNo), Count: d.pieces}}, Colours: colours}
	if d.read {
		closed.Celsius = &warm
	}
	add(0, bag, journal.KindBagClosed, closed)
	if d.dry > 0 {
		add(d.dry, bag, journal.KindBagDried, journal.BagFoundDry{WasWetted: d.wetted})
	}
	add(d.cureHours, bag, journal.KindBagOpened, journal.BagOpened{})
	add(d.cureHours+0.1, batchNo, journal.KindRinseDone, journal.RinseDone{Bags: []journal.ID{testID(bag)}, Water: 8000, Celsius: &d.firstBath})
	add(d.cureHours+1, bag, journal.KindBagRinsed, journal.BagRinsed{Baths: d.baths, Clear: &d.clear})
	add(d.cureHours+1.1, bag, journal.KindRagTested, journal.RagTested{Showed: d.rag})
	add(d.cureHours+2, batchNo, journal.KindWashDone, journal.WashDone{Bags: []journal.ID{testID(bag)}, Alone: d.alone})
	return batch.Build(facts), testID(bag)
}

func (d done) explain(t testing.TB, faults ...cause.Fault) WhyView {
	t.Helper()
	s, bag := d.state(t)
	v, err := ExplainBag(s, bag, faults, ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// provoked has for each rule a batch in which only that went wrong, and the fault it makes.
var provoked = []struct {
	key   string
	fault cause.Fault
	spoil func(*done)
}{
	{"fibre", cause.Pale, func(d *done) { d.fibre = "polyester" }},
	{"not-scoured", cause.Patchy, func(d *done) { d.scoured = false }},
	{"weak-soak", cause.Pale, func(d *done) { d.soda, d.ph = 45, 11.2 }},
	{"wrong-powder", cause.Pale, func(d *done) { d.ph = 8.3 }},
	{"too-alkaline", cause.OtherHue, func(d *done) { d.ph = 13.2 }},
	{"spent-soak", cause.Pale, func(d *done) { d.ph = 10 }},
	{"short-soak", cause.Patchy, func(d *done) { d.soakMinutes = 8 }},
	{"crowded-soak", cause.Pale, func(d *done) { d.pieces = 30; d.ml = 2700; d.powder = [2]float64{67.5, 67.5} }},
	{"hard-water", cause.Stiff, func(d *done) { d.hardness = 380 }},
	{"weak-jug", cause.Pale, func(d *done) { d.powder = [2]float64{4.5, 4.5} }},
	{"weak-jug", cause.OtherHue, func(d *done) { d.powder[1] = 4.5 }},
	{"strong-jug", cause.Muddy, func(d *done) { d.powder[0] = 18 }},
	{"old-dye", cause.Pale, func(d *done) { d.age = 24 * 12 }},
	{"dye-with-soda", cause.Pale, func(d *done) { d.age, d.sodaAge = 9, 8 }},
	{"too-little-dye", cause.WhiteInside, func(d *done) { d.perGram = 0.4 }},
	{"too-much-dye", cause.Muddy, func(d *done) { d.perGram = 2.4 }},
	{"needs-heat", cause.Pale, func(d *done) { d.classes = [2]string{"monochlorotriazine", "monochlorotriazine"} }},
	{"unknown-class", cause.Pale, func(d *done) { d.classes = [2]string{"unknown", "unknown"} }},
	{"two-classes", cause.OtherHue, func(d *done) { d.classes[1] = "vinyl-sulfone"; d.cureHours = 200 }},
	{"opposites", cause.Muddy, func(d *done) { d.rgb = [2]string{"#c22a2a", "#1f8a4c"} }},
	{"short-cure", cause.Pale, func(d *done) { d.celsius = 9 }},
	{"short-cure", cause.Bled, func(d *done) { d.cureHours = 6 }},
	{"dried", cause.Patchy, func(d *done) { d.dry = 20 }},
	{"few-baths", cause.Stiff, func(d *done) { d.baths = 2 }},
	{"not-clear", cause.Bled, func(d *done) { d.clear, d.rag = false, "stained" }},
	{"hot-first", cause.Bled, func(d *done) { d.firstBath = 60 }},
	{"not-alone", cause.Bled, func(d *done) { d.alone = false }},
	{"thickener", cause.Stiff, func(d *done) { d.alginate = 15 }},
}

func keys(v WhyView) (out []string) {
	for _, c := range v.Causes {
		out = append(out, c.Key)
	}
	return out
}

// Each cause, provoked alone, is named first, with a figure, an advice and a source. Every
// rule has its row.
func TestWhyNamesWhatWasProvoked(t *testing.T) {
	left := map[string]bool{}
	for _, r := range cause.Rules() {
		left[r.Key] = true
	}
	for _, p := range provoked {
		d := good()
		p.spoil(&d)
		v := d.explain(t, p.fault)
		delete(left, p.key)
		if len(v.Causes) == 0 || v.Causes[0].Key != p.key {
			t.Errorf("%s (%s): named %v", p.key, p.fault, keys(v))
			continue
		}
		if c := v.Causes[0]; c.Figure == "" || c.Advice == "" || c.Source.Reliability == "" || c.Sure == "" || !(c.Score > 0 && c.Score <= 1) {
			t.Errorf("%s: %+v", p.key, c)
		}
	}
	for key := range left {
		t.Errorf("rule %s has no batch that provokes it: add one to provoked", key)
	}
}

// Twenty good batches, each a little different, name nothing for any fault.
func TestWhyNamesNothingForGoodBatches(t *testing.T) {
	changes := []func(*done){
		func(*done) {}, func(d *done) { d.ph = 0 }, func(d *done) { d.soda = 120 }, func(d *done) { d.soda = 190 }, func(d *done) { d.soakMinutes = 40 },
		func(d *done) { d.tied, d.soakMinutes = false, 18 }, func(d *done) { d.celsius, d.cureHours = 18, 48 }, func(d *done) { d.celsius, d.cureHours = 27, 20 },
		func(d *done) { d.age = 40 }, func(d *done) { d.fibre = "hemp" }, func(d *done) { d.fibre = "flax" }, func(d *done) { d.fibre = "viscose" },
		func(d *done) { d.hardness = 110 }, func(d *done) { d.perGram = 1.0 }, func(d *done) { d.perGram = 1.4 }, func(d *done) { d.powder = [2]float64{8.6, 9.4} },
		func(d *done) { d.pieces, d.water, d.soda = 8, 6000, 300; d.ml, d.powder = 720, [2]float64{18, 18} },
		func(d *done) {
			d.classes = [2]string{"vinyl-sulfone", "vinyl-sulfone"}
			d.celsius, d.cureHours = 26, 60
		},
		func(d *done) { d.rgb = [2]string{"#1f4f8a", "#17707b"} }, func(d *done) { d.age, d.sodaAge = 0.6, 0.4 },
	}
	if len(changes) != 20 {
		t.Fatalf("%d batches, not 20", len(changes))
	}
	for i, change := range changes {
		d := good()
		change(&d)
		for _, f := range cause.Faults() {
			v := d.explain(t, f.Fault)
			if len(v.Causes) > 0 {
				t.Errorf("good batch %d, %s: named %v: %s", i+1, f.Fault, keys(v), v.Causes[0].Figure)
			}
			if v.Headline != "nothing in the record explains it" {
				t.Errorf("good batch %d: %q", i+1, v.Headline)
			}
		}
	}
}

// Of two things that went wrong in one batch both are among the first three.
func TestWhyNamesTwoAtOnce(t *testing.T) {
	// These two cannot be wrong at once: they change the same figure.
	same := map[string]string{"wrong-powder": "pH", "too-alkaline": "pH", "spent-soak": "pH", "weak-soak": "pH", "weak-jug": "powder", "strong-jug": "powder",
		"crowded-soak": "powder", "too-little-dye": "dye", "too-much-dye": "dye", "needs-heat": "class", "unknown-class": "class", "two-classes": "class",
		"old-dye": "age", "dye-with-soda": "age"}
	noTime := map[string]bool{"needs-heat": true, "unknown-class": true} // no time is known of these, so none is too short
	pairs := 0
	for i, p := range provoked {
		for _, q := range provoked[:i] {
			if p.key == q.key || same[p.key] != "" && same[p.key] == same[q.key] {
				continue
			}
			if p.key == "needs-heat" && q.key == "dye-with-soda" || q.key == "needs-heat" && p.key == "dye-with-soda" { // it keeps for days with soda ash
				continue
			}
			if noTime[p.key] && q.key == "short-cure" || noTime[q.key] && p.key == "short-cure" ||
				p.key == "short-cure" && q.key == "two-classes" || q.key == "short-cure" && p.key == "two-classes" {
				continue
			}
			d := good()
			q.spoil(&d)
			p.spoil(&d)
			v := d.explain(t, p.fault, q.fault)
			first := keys(v)[:min(3, len(v.Causes))]
			if !slices.Contains(first, p.key) || !slices.Contains(first, q.key) {
				t.Errorf("%s and %s (%s, %s): named %v", p.key, q.key, p.fault, q.fault, keys(v))
			}
			pairs++
		}
	}
	if pairs < 200 {
		t.Errorf("only %d pairs", pairs)
	}
}

// Without a chosen fault the ratings say what is wrong. What nobody recorded is named.
func TestWhyTakesTheRatings(t *testing.T) {
	s, bag := good().state(t)
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon, Style: unit.Style{}}
	s.Results = []batch.Result{{Subject: bag, Bright: 2, Bled: "much"}, {Subject: testID(pieceNo), WhiteShare: pointer(0.4), Faults: []string{"stiff"}}}
	v, err := ExplainBag(s, bag, nil, e)
	if err != nil || fmt.Sprint(v.Chosen) != "[pale bled stiff white-inside]" {
		t.Errorf("%v %v", v.Chosen, err)
	}
	s.Soaks, s.Jugs = nil, nil
	v, _ = ExplainBag(s, bag, []cause.Fault{cause.Pale}, e)
	if missing := strings.Join(v.Missing, "; "); !strings.Contains(missing, "how the soak was mixed") || !strings.Contains(missing, "what was weighed") {
		t.Errorf("missing: %q", missing)
	}
	if v, err := ExplainBag(s, bag, []cause.Fault{}, e); err != nil || len(v.Chosen)+len(v.Causes) > 0 {
		t.Errorf("no fault chosen: %v %v %v", v.Chosen, keys(v), err)
	}
	if _, err := ExplainBag(s, bag, []cause.Fault{"ugly"}, e); !fault.Is(err, fault.Input) {
		t.Errorf("an unknown fault: %v", err)
	}
	if _, err := ExplainBag(s, testID(999), nil, e); !fault.Is(err, fault.NotFound) {
		t.Errorf("an unknown bag: %v", err)
	}
	if v, err := ExplainBag(s, bag, nil, e); err != nil || len(v.Causes) == 0 && v.Headline == "" {
		t.Errorf("%+v %v", v, err)
	}
}
