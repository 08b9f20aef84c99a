package batchview

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/cause"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// RepeatPiece says how many pieces of one kind to repeat, and what one weighs dry now.
type RepeatPiece struct {
	Piece journal.ID `json:"piece"`
	Count int        `json:"count"`
	Grams float64    `json:"grams,omitempty"` // 0 is as before
}

// Repetition holds drafts of the facts of a batch that repeats another as it was actually dyed, and
// how that differs from the plan of the other.
type Repetition struct {
	FactDrafts  []journal.Draft `json:"drafts"`
	Scale       float64         `json:"scale"`   // dry weight now over dry weight then
	Pieces      []RepeatLine    `json:"pieces"`  // what can be repeated
	DoneLines   []string        `json:"done"`    // how it was done: soak, jugs, cure, rinse
	Differences []string        `json:"differs"` // where that was not as planned, or is not now
	Advice      []string        `json:"advice"`
}

// RepeatLine is a group of pieces from the batch that is being repeated.
type RepeatLine struct {
	Piece journal.ID `json:"piece"`
	Words string     `json:"words"`
	Count int        `json:"count"`
	Grams float64    `json:"grams"`
}

// oldPowder is the age of a batch from which its powders count as old (judgement: jars are
// kept for years, and weaken with damp).
const oldPowder = 180 * zone.Day

// Repeat drafts a batch that repeats s as it was actually dyed: the chosen pieces (all of them, if
// none is chosen) at their dry weight, and each colour at the strength that its jug really had, with
// its volume scaled by the dry weight. ids are new ids: one for the batch, one for its secret, and one
// for each piece and each colour. items are what is on the shelf now.
func Repeat(s batch.State, chosen []RepeatPiece, ids []journal.ID, items []shelf.Item, e ViewEnv) (Repetition, error) {
	r := Repetition{FactDrafts: []journal.Draft{}, Pieces: []RepeatLine{}, DoneLines: []string{}, Differences: []string{}, Advice: []string{}}
	for _, p := range s.Pieces {
		r.Pieces = append(r.Pieces, RepeatLine{p.ID, pieceWords(p, 1), p.Count, p.Grams})
	}
	if len(chosen) == 0 {
		for _, p := range s.Pieces {
			chosen = append(chosen, RepeatPiece{Piece: p.ID, Count: p.Count})
		}
	}
	if want := 2 + len(s.Pieces) + len(s.Colours); len(ids) < want {
		return r, fault.New(fault.Input, "%d ids are too few to repeat this batch", len(ids)).WithHint("%d are needed", want)
	}
	id, secret, rest := ids[0], ids[1], ids[2:]
	then, _ := dryWeight(s)
	now, pieces := 0.0, []journal.Draft{}
	for i, c := range chosen {
		p, ok := s.Piece(c.Piece)
		if !ok || i >= len(s.Pieces) {
			return r, fault.New(fault.NotFound, "there is no such piece in this batch")
		}
		if c.Count == 0 {
			continue
		}
		grams, assumed := p.Grams, p.WeightAssumed
		if c.Grams > 0 {
			if math.Abs(c.Grams-p.Grams) > 0.5 {
				r.Differences = append(r.Differences, fmt.Sprintf("%s: %s now, %s then", pieceWords(p, 1), e.formatMass(c.Grams), e.formatMass(p.Grams)))
			}
			grams, assumed = c.Grams, false
		}
		now += grams * float64(c.Count)
		draft, err := draftOf(id, rest[i], journal.KindPieceAdded, journal.PieceAdded{Kind: p.Kind, Name: p.Name, Count: c.Count, Grams: grams, WeightAssumed: assumed,
			Fibre: p.Fibre, MainFibreShare: p.MainFibreShare, Fold: p.Fold})
		if err != nil {
			return r, err
		}
		pieces = append(pieces, draft)
	}
	if now <= 0 || then <= 0 {
		return r, fault.New(fault.Missing, "no piece is chosen").WithHint("choose at least one piece to repeat")
	}
	r.Scale = math.Round(now/then*1000) / 1000
	r.describe(s, items, e)
	start, err := draftOf(id, id, journal.KindBatchStarted, journal.BatchStarted{Name: againName(s.Name), Secret: secret,
		Note: "As done before: " + strings.Join(r.DoneLines, "; ") + "."})
	if err != nil {
		return r, err
	}
	again, err := draftOf(id, id, journal.KindBatchRepeated, journal.BatchRepeated{From: s.ID, Scale: min(1000, max(0.01, r.Scale))})
	if err != nil {
		return r, err
	}
	r.FactDrafts = append(append(r.FactDrafts, start, again), pieces...)
	for i, c := range s.Colours {
		draft, err := draftOf(id, rest[len(s.Pieces)+i], journal.KindColourChosen, r.colourAsDone(s, c, e))
		if err != nil {
			return r, err
		}
		r.FactDrafts = append(r.FactDrafts, draft)
	}
	r.Advice = append(r.Advice, "expect it to be similar, not identical: cloth, water and hands vary")
	if e.Now.Sub(s.StartedAt) > oldPowder {
		r.Advice = append(r.Advice, "the powders are "+e.Now.Sub(s.StartedAt).Words()+" older now: dye a test strip first")
	} else {
		r.Advice = append(r.Advice, "if the powder is from another lot, dye a test strip first")
	}
	return r, nil
}

// colourAsDone returns a colour at the strength that its jug had.
func (r *Repetition) colourAsDone(s batch.State, c batch.Colour, e ViewEnv) journal.ColourChosen {
	body := journal.ColourChosen{Name: c.Name, CapLetters: c.CapLetters, RGB: c.RGB, Class: c.Class, Generic: c.Generic, Strength: c.Strength, Depth: c.Depth, ColourMore: c.ColourMore}
	volume := c.VolumeML
	if j, ok := jugOf(s, c.ID, e.Now); ok && c.Depth > 0 {
		volume = j.VolumeML
		made := j.PowderGrams / j.VolumeML * 1000
		if planned := c.Strength * c.Depth; math.Abs(made-planned) > 0.02*planned {
			r.Differences = append(r.Differences, fmt.Sprintf("%s: the jug had %s instead of the planned %s; this repeats what it had", c.Name, e.formatStrength(made), e.formatStrength(planned)))
			body.Strength = min(200, max(0.1, math.Round(made/c.Depth*100)/100))
		}
	}
	body.VolumeML = math.Min(1e5, math.Round(volume*r.Scale))
	return body
}

// describe writes how the batch was done, by its first bag that was opened, and what of that
// was not as usual or is not now.
func (r *Repetition) describe(s batch.State, items []shelf.Item, e ViewEnv) {
	bag := firstOpened(s)
	c := evidenceOf(s, bag, e)
	for _, row := range doneRows(s, bag, c, e) {
		if row.value != "" {
			r.DoneLines = append(r.DoneLines, row.text())
		}
	}
	if len(r.DoneLines) == 0 {
		r.DoneLines = append(r.DoneLines, "nothing was recorded about soak, cure or rinse")
	}
	usual := soak.UsualStrength
	if c.SoakStrength != nil && (*c.SoakStrength < usual.Low || *c.SoakStrength > usual.High) {
		r.Differences = append(r.Differences, fmt.Sprintf("soak: it had %s then; the new plan says %s", e.formatStrength(*c.SoakStrength), e.formatStrength(usual.Value)))
	}
	if c.Cure != nil && c.Cure.Done < earlyCure {
		r.Differences = append(r.Differences, "cure: it was opened after "+formatPercent(c.Cure.Done)+" of the usual time")
	}
	if then, now := c.Hardness, e.Kit.Hardness; then != nil && e.Kit.HasWater && math.Abs(*then-now) > hardnessDifference {
		r.Differences = append(r.Differences, "water: "+unit.Show(unit.KindHardness, *then, e.Style)+" then, "+unit.Show(unit.KindHardness, now, e.Style)+" now")
	}
	for _, colour := range s.Colours {
		for _, it := range items {
			if it.ID == colour.Stock {
				r.Differences = append(r.Differences, otherPowder(colour.Name, it, s.StartedAt, e.Now)...)
			}
		}
	}
}

// What counts as a difference (judgement).
const (
	earlyCure          = 0.9 // share of the usual time
	hardnessDifference = 50  // mg/L of calcium carbonate
)

// otherPowder says where the powder of a colour is gone, was bought after the batch began, or is old.
func otherPowder(name string, it shelf.Item, begun, now zone.Instant) []string {
	lot := withLabel(", lot ", it.Lot)
	strip := lot + "; dye a test strip first"
	if it.IsGone {
		return []string{name + ": its powder is no longer on the shelf" + lot}
	}
	for _, m := range it.Moves {
		if m.Kind == shelf.Bought && m.At > begun {
			return []string{name + ": more was bought since then" + strip}
		}
	}
	if age := it.JarAge(now); age > zone.Span(Keeping.Value)*zone.Day {
		return []string{name + ": its powder was opened " + agoWords(age) + strip}
	}
	return nil
}

// firstOpened returns the first bag that was opened, else the first; an empty one if there
// is none.
func firstOpened(s batch.State) batch.Bag {
	for _, b := range s.Bags {
		if b.OpenedAt != 0 {
			return b
		}
	}
	if len(s.Bags) > 0 {
		return s.Bags[0]
	}
	return batch.Bag{ClosedAt: math.MaxInt64, Stays: []batch.Stay{{}}}
}

// doneRow is one figure of how a bag was done: "soak", "50 g/L". Where those two are no
// sentence, words has one.
type doneRow struct{ what, value, words string }

func (r doneRow) text() string { return withDefault(r.words, r.what+" "+r.value) }

// doneRows writes how a bag was done, in the order of the job. A figure that nobody
// recorded is "".
func doneRows(s batch.State, b batch.Bag, c cause.Evidence, e ViewEnv) []doneRow {
	figure := func(v *float64, write func(float64) string) string {
		if v == nil {
			return ""
		}
		return write(*v)
	}
	washed := ""
	if c.Scoured != nil {
		washed = yesOrNo(*c.Scoured, "washed first", "not washed first")
	}
	minutes := figure(c.SoakMinutes, func(v float64) string { return fmt.Sprintf("%.0f min", v) })
	rows := []doneRow{
		{"fibre", string(c.Fibre), string(c.Fibre)}, {"cloth", washed, washed}, {"soak", figure(c.SoakStrength, e.formatStrength), ""},
		{"in the soak", minutes, minutes + " in the soak"}, {"pH of the soak", "", ""},
	}
	if c.SoakCheck != nil {
		rows[4].value = fmt.Sprintf("%.1f", float64(c.SoakCheck.PH))
	}
	rows = append(rows, doneRow{what: "dye", value: dyeWords(s, b, c, e)})
	cured := doneRow{what: "cure"}
	if c.Cure != nil {
		cured.value = fmt.Sprintf("%.0f h at %s, %s of the usual time", c.Cure.Hours, e.formatTemperature(math.Round(float64(c.Cure.Coldest+c.Cure.Warmest)/2)), formatPercent(c.Cure.Done))
	}
	rows = append(rows, cured)
	baths := ""
	if c.Baths != nil {
		baths = countWords(*c.Baths, "bath", "baths")
	}
	return append(rows, doneRow{"rinse", baths, "rinsed in " + baths})
}

// dyeWords writes how much dye the cloth of a bag got, where that was recorded piece by
// piece, else how much was mixed for the batch.
func dyeWords(s batch.State, b batch.Bag, c cause.Evidence, e ViewEnv) string {
	if c.DyePerGram == nil {
		return ""
	}
	for _, bp := range b.Pieces {
		if p, ok := s.Piece(bp.Piece); ok && len(p.DyePuts) > 0 {
			return fmt.Sprintf("%.1f mL per gram of cloth", *c.DyePerGram)
		}
	}
	if _, ok := heldShare(s, b); ok {
		return fmt.Sprintf("%.1f mL per gram of cloth, by the weight of the bag", *c.DyePerGram)
	}
	mixed := 0.0
	for _, colour := range s.Colours {
		if j, ok := jugOf(s, colour.ID, b.ClosedAt); ok {
			mixed += j.VolumeML
		}
	}
	grams, _ := dryWeight(s)
	return fmt.Sprintf("%s mixed, %.1f mL per gram of cloth", e.formatVolume(mixed), mixed/grams)
}

// againName returns the name of a repetition: "spring, again", "spring, again 2".
func againName(name string) string {
	base, last, was := strings.Cut(name, ", again")
	if runes := []rune(base); len(runes) > 60 { // a name has 80 letters at most
		base = string(runes[:60])
	}
	if !was {
		return base + ", again"
	}
	n, err := strconv.Atoi(strings.TrimSpace(last)) // fmt.Sscanf would bring its whole reader into the core
	if err != nil {
		n = 1
	}
	return fmt.Sprintf("%s, again %d", base, n+1)
}

func draftOf(batchID, subject journal.ID, kind string, body any) (journal.Draft, error) {
	text, err := json.Marshal(body)
	return journal.Draft{Scope: journal.BatchScope(batchID), Subject: subject, Kind: kind, Body: text}, err
}

// ComparedRow is one figure of two batches.
type ComparedRow struct {
	Label   string `json:"what"`
	A       string `json:"a"`
	B       string `json:"b"`
	Differs bool   `json:"differs"`
}

// dryWeightRow is not named as what differed first: dye and soak are scaled by it.
const dryWeightRow = "dry weight"

// Comparison shows two batches side by side, step by step, with one bag standing for each.
// FirstDifference is the first figure that differs, besides the dry weight; "" if none does.
type Comparison struct {
	A                  ComparedSide  `json:"a"`
	B                  ComparedSide  `json:"b"`
	Rows               []ComparedRow `json:"rows"`
	FirstDifference    string        `json:"first"`
	ColourDistanceText string        `json:"apart,omitempty"` // how far apart the colours are that were read from photos of the two
}

// ComparedSide is a batch, its bag that is compared, and its other bags that could be.
type ComparedSide struct {
	Name      string        `json:"name"` // "spring, bag 4"
	BatchName string        `json:"batchName"`
	Bag       journal.ID    `json:"bag"`
	Bags      []ComparedBag `json:"bags"`
}

// ComparedBag is a bag to choose.
type ComparedBag struct {
	ID     journal.ID `json:"id"`
	Number string     `json:"number"`
}

func comparedSide(s batch.State, b batch.Bag) ComparedSide {
	side := ComparedSide{Name: s.Name + bagWords(b), BatchName: s.Name, Bag: b.ID, Bags: []ComparedBag{}}
	for _, x := range s.Bags {
		if !x.IsEmpty() {
			side.Bags = append(side.Bags, ComparedBag{x.ID, formatBagNumber(x.Number, x.Letter)})
		}
	}
	return side
}

// Compare lays two batches side by side, each by the bag with that id, or by its first bag that was
// opened. They may be two bags of the same batch.
func Compare(a, b batch.State, idA, idB journal.ID, e ViewEnv) Comparison {
	bagA, bagB := bagToCompare(a, idA), bagToCompare(b, idB)
	c := Comparison{A: comparedSide(a, bagA), B: comparedSide(b, bagB), Rows: []ComparedRow{}}
	add := func(what, x, y string) {
		if x == "" && y == "" {
			return
		}
		row := ComparedRow{what, withDefault(x, "not recorded"), withDefault(y, "not recorded"), x != y}
		if row.Differs && c.FirstDifference == "" && what != dryWeightRow {
			c.FirstDifference = what
		}
		c.Rows = append(c.Rows, row)
	}
	evidenceA, evidenceB := evidenceOf(a, bagA, e), evidenceOf(b, bagB, e)
	gramsA, _ := dryWeight(a)
	gramsB, _ := dryWeight(b)
	add(dryWeightRow, e.formatMass(gramsA), e.formatMass(gramsB))
	rowsA, rowsB := doneRows(a, bagA, evidenceA, e), doneRows(b, bagB, evidenceB, e)
	early := 5 // up to the soak
	for i := range rowsA[:early] {
		add(rowsA[i].what, rowsA[i].value, rowsB[i].value)
	}
	for i := range max(len(evidenceA.Dyes), len(evidenceB.Dyes)) {
		add(fmt.Sprintf("colour %d", i+1), dyeAt(evidenceA.Dyes, i, e), dyeAt(evidenceB.Dyes, i, e))
	}
	for i := early; i < len(rowsA); i++ {
		add(rowsA[i].what, rowsA[i].value, rowsB[i].value)
	}
	resultA, _ := a.ResultOf(bagA.ID)
	resultB, _ := b.ResultOf(bagB.ID)
	add("result", ratingWords(resultA), ratingWords(resultB))
	if x, ok := newestReading(a, bagA.ID); ok {
		if y, ok := newestReading(b, bagB.ID); ok {
			add("colour", readingWords(x), readingWords(y))
			c.ColourDistanceText = apartWords(x, y, "between the colours that were read")
		}
	}
	return c
}

// bagToCompare returns the bag with that id, else the first that was opened.
func bagToCompare(s batch.State, id journal.ID) batch.Bag {
	if b, ok := s.Bag(id); ok {
		return b
	}
	return firstOpened(s)
}

// bagWords writes which bag of a batch is compared.
func bagWords(b batch.Bag) string {
	if b.Number == 0 {
		return ""
	}
	return ", bag\u00a0" + formatBagNumber(b.Number, b.Letter)
}

// dyeAt writes the dye number i: "rust, dichlorotriazine, 25 g/L".
func dyeAt(dyes []cause.Dye, i int, e ViewEnv) string {
	if i >= len(dyes) {
		return ""
	}
	strength := ""
	if dyes[i].MadeStrength != nil {
		strength = e.formatStrength(*dyes[i].MadeStrength)
	}
	return joinNonEmpty(", ", dyes[i].Name, dyes[i].Class.Info().Words, strength)
}

func withDefault(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}
