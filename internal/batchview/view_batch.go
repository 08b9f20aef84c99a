package batchview

import (
	"fmt"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/unit"
)

// ViewBatch returns a batch as a screen shows it at e.Now.
func ViewBatch(s batch.State, e ViewEnv) BatchView {
	v := BatchView{ID: s.ID, Name: s.Name, Note: s.Note, StartedText: e.formatTime(s.StartedAt), Unapplied: []UnappliedView{}, History: []HistoryLine{},
		Pieces: []PieceView{}, Colours: []ColourView{}, Bags: []BagView{}, Jugs: []JugView{},
		Helpers: s.Helpers, IsShared: s.IsShared(e.Now)}
	if s.NeedsNewerApp {
		v.UpdateText = "a newer version of the app changed this batch: update this app to see all of it"
	}
	for _, p := range s.Pieces {
		v.Pieces = append(v.Pieces, viewPiece(s, p, e))
	}
	grams, assumed := dryWeight(s)
	v.Grams = grams
	if grams > 0 {
		v.WeightText = e.formatMass(grams) + " dry" + assumed
	}
	for _, c := range s.Colours {
		cv := viewColour(c)
		cv.Strength = unit.Show(unit.KindConcentration, c.Strength, e.Style)
		v.Colours = append(v.Colours, cv)
		v.Jugs = append(v.Jugs, viewJug(s, c, e))
	}
	v.Soak = viewSoak(s, e)
	for _, b := range s.Bags {
		v.Bags = append(v.Bags, viewBag(s, b, e))
	}
	v.setNextNumber(s, e)
	v.Queue = viewQueue(s, e)
	v.NextClosing = nextClosing(s, v.Queue, e)
	v.OpenPowderText = powderWords(s, e)
	v.FreeBlanksText, v.FreeBlanksHaveLetter = freeBlankWords(s), hasLetteredBlanks(s)
	v.setSteps(s)
	for _, m := range s.Unapplied {
		v.Unapplied = append(v.Unapplied, UnappliedView{m.FactID, "“" + journal.KindWords(m.Kind) + "” no longer applies: the entry it depends on was undone"})
	}
	if s.UnknownFacts > 0 {
		v.UnknownFactsText = fmt.Sprintf("%d entries of a newer version are kept and passed on, but not shown: update the app", s.UnknownFacts)
	}
	return v
}

// dryWeight returns the dry weight of all pieces in grams, and the words to add if it is
// assumed.
func dryWeight(s batch.State) (grams float64, assumed string) {
	some, all := false, len(s.Pieces) > 0
	for _, p := range s.Pieces {
		grams += p.Grams * float64(p.Count)
		some, all = some || p.WeightAssumed, all && p.WeightAssumed
	}
	switch {
	case all:
		assumed = ", assumed"
	case some:
		assumed = ", partly assumed"
	}
	return grams, assumed
}

func viewPiece(s batch.State, p batch.Piece, e ViewEnv) PieceView {
	v := PieceView{ID: p.ID, Words: pieceWords(p, p.Count), SingularWords: pieceWords(p, 1), Kind: p.Kind, Name: p.Name, Count: p.Count, Grams: p.Grams,
		Fold: p.Fold, Fibre: p.Fibre, Unbagged: p.Count - countBagged(s, p.ID), PieceMore: p.PieceMore, OwnColours: []ColourView{}, Notes: []string{}, NeedsNewerApp: p.NeedsNewerApp}
	blend := plan.BlendOf(p)
	v.FibreWords = blend.Words()
	v.Photos = piecePhotos(p, e)
	for _, c := range p.Colours {
		if known, ok := s.Colour(c.Colour); ok {
			worn := viewColour(known)
			worn.Share = c.Share
			v.OwnColours = append(v.OwnColours, worn)
		}
	}
	if p.Fold != "" {
		fold := ", " + foldOf(p.Fold).Words
		v.Words, v.SingularWords = v.Words+fold, v.SingularWords+fold
	}
	v.Design = viewDesign(s, p, e)
	v.Weight = e.formatMass(p.Grams)
	if p.Count > 1 {
		v.Weight += " each"
	}
	if p.WeightAssumed {
		v.Weight += ", assumed"
	}
	if means := blend.DyeingNote(); means != "" {
		v.Notes = append(v.Notes, means)
	}
	if p.Depth > 0 && p.Depth < 1 {
		v.Notes = append(v.Notes, formatPercent(p.Depth)+" of the depth: thin the dye with water in the bottle")
	}
	if p.Owner != "" {
		v.Notes = append(v.Notes, "for "+p.Owner)
	}
	if p.Note != "" {
		v.Notes = append(v.Notes, p.Note)
	}
	if v.Unbagged < 0 {
		v.Notes = append(v.Notes, "more of these are in bags than you listed: correct the count")
	}
	return v
}

// setNextNumber sets the number of a bag that this phone closes now.
func (v *BatchView) setNextNumber(s batch.State, e ViewEnv) {
	if u, ok := s.Numbers.NextNumber(e.Device, e.NumberLetter); ok {
		v.NextNumber = &NextBagNumber{u.Number, u.Letter, formatBagNumber(u.Number, u.Letter)}
		return
	}
	v.NoNumberReason = noBagNumbersText
}

const noBagNumbersText = "this phone has no bag numbers: let it reach the program once, then it can close bags anywhere"

func noBagNumberError() error { return fault.New(fault.Unavailable, "%s", noBagNumbersText) }

// setSteps sets the checklist and the stage.
func (v *BatchView) setSteps(s batch.State) {
	left, curing, wet := 0, 0, 0
	for _, p := range s.Pieces {
		left += max(0, p.Count-countBagged(s, p.ID))
	}
	for _, b := range s.Bags {
		switch b.Stage() {
		case "cure":
			curing++
		case "opened", "rinsed":
			wet++
		}
	}
	scoured := len(s.Pieces) > 0
	for _, p := range s.Pieces {
		scoured = scoured && p.IsScoured
	}
	mixed := len(v.Jugs) > 0
	for _, j := range v.Jugs {
		mixed = mixed && j.IsMixed
	}
	bagged := len(s.Bags) > 0
	allBagged := bagged && left == 0
	cured := allBagged && curing == 0
	rinsed := cured
	for _, b := range s.Bags {
		rinsed = rinsed && (b.RinsedAt != 0 || b.DoneAt != 0)
	}
	dry := allBagged && curing == 0 && wet == 0
	soaked := v.Soak.Stage == "done"
	// A later step that is done shows that the earlier ones were, even if nobody tapped
	// them.
	v.Steps = []ChecklistStep{
		{Key: "pieces", Title: "List the pieces", Detail: v.WeightText, IsDone: len(s.Pieces) > 0},
		{Key: "scour", Title: "Wash out finish and softener", IsDone: scoured || soaked || bagged},
		{Key: "colours", Title: "Choose the colours", Detail: countWords(len(s.Colours), "colour", "colours"), IsDone: len(s.Colours) > 0},
		{Key: "soak", Title: "Soak in soda ash", Detail: v.Soak.Text, IsDone: soaked || bagged},
		{Key: "jugs", Title: "Mix a jug of each colour", IsDone: mixed || allBagged},
		{Key: "bags", Title: "Dye and bag", Detail: bagsLeftWords(left, len(s.Bags)), IsDone: allBagged},
		{Key: "cure", Title: "Keep wet and warm", Detail: curingWords(curing), IsDone: cured},
		{Key: "rinse", Title: "Rinse until it runs clear", IsDone: rinsed},
		{Key: "dry", Title: "Wash alone and dry", IsDone: dry},
	}
	for i := range v.Steps {
		if !v.Steps[i].IsDone {
			v.Steps[i].IsNext = true
			break
		}
	}
	v.Stage = stageOf(v.Steps, s)
	v.StageText = stageWords[v.Stage]
	if s.FinishedAt != 0 && s.FinishNote != "" {
		v.StageText = s.FinishNote
	}
	v.IsOpen = s.IsOpen()
}

func stageOf(steps []ChecklistStep, s batch.State) string {
	if s.FinishedAt != 0 {
		return "done"
	}
	for _, st := range steps {
		if st.IsNext {
			return stages[st.Key]
		}
	}
	return "done"
}

var stages = map[string]string{"pieces": "plan", "scour": "plan", "colours": "plan", "soak": "soak", "jugs": "dye",
	"bags": "dye", "cure": "cure", "rinse": "wash", "dry": "wash"}

var stageWords = map[string]string{"plan": "planning", "soak": "soaking", "dye": "dyeing and bagging",
	"cure": "curing", "wash": "rinsing and washing", "done": "done"}

func countWords(n int, one, more string) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

func bagsLeftWords(left, bags int) string {
	switch {
	case left > 0 && bags > 0:
		return countWords(left, "piece left", "pieces left") + ", " + countWords(bags, "bag closed", "bags closed")
	case left > 0:
		return countWords(left, "piece to bag", "pieces to bag")
	}
	return countWords(bags, "bag closed", "bags closed")
}

func curingWords(n int) string { return countWords(n, "bag is curing", "bags are curing") }

// evenShares divides what is left equally among the colours without a share, and scales
// all shares to a sum of 1.
func evenShares(list []journal.ColourInBag) []journal.ColourInBag {
	out := append([]journal.ColourInBag(nil), list...)
	sum, none := 0.0, 0
	for _, c := range out {
		sum += c.Share
		if c.Share == 0 {
			none++
		}
	}
	if none > 0 {
		each := max(0.05, 1-sum) / float64(none)
		for i := range out {
			if out[i].Share == 0 {
				out[i].Share = each
				sum += each
			}
		}
	}
	for i := range out {
		out[i].Share /= sum
	}
	return out
}
