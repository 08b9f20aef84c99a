package batchview

import (
	"math"
	"slices"

	"coldbatch/internal/alkali"
	"coldbatch/internal/batch"
	"coldbatch/internal/cause"
	"coldbatch/internal/colour"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// WhyView is what the record says about the faults of one bag.
type WhyView struct {
	Bag       journal.ID        `json:"bag"`
	Number    string            `json:"number"`
	BatchName string            `json:"batchName"`
	Contents  string            `json:"what"`
	Choices   []cause.FaultInfo `json:"choices"`
	Chosen    []cause.Fault     `json:"chosen"`
	Opened    bool              `json:"opened"` // only then the cure can be judged
	cause.Explanation
}

// ExplainBag ranks the causes of the faults of a bag. With nil for faults it takes those by which
// the bag, or a piece in it, was rated.
func ExplainBag(s batch.State, id journal.ID, faults []cause.Fault, e ViewEnv) (WhyView, error) {
	b, ok := s.Bag(id)
	if !ok {
		return WhyView{}, fault.New(fault.NotFound, "there is no such bag in this batch").WithHint("it may have been undone: see the history")
	}
	for _, f := range faults {
		if _, err := cause.ParseFault(string(f)); err != nil {
			return WhyView{}, err
		}
	}
	if faults == nil {
		faults = ratedFaults(s, b)
	}
	v := WhyView{Bag: b.ID, Number: formatBagNumber(b.Number, b.Letter), BatchName: s.Name, Contents: contentWords(s, b), Choices: cause.Faults(),
		Chosen: faults, Opened: b.OpenedAt != 0}
	if v.Chosen == nil {
		v.Chosen = []cause.Fault{}
	}
	v.Explanation = cause.Explain(evidenceOf(s, b, e), faults, e.Style)
	return v, nil
}

// The ratings that count as a fault (judgement, no source).
const (
	poorRating = 2   // of 5, and below
	whiteLeft  = 0.1 // of the cloth, and above
)

// ratedFaults returns the faults that the ratings of a bag and its pieces name.
func ratedFaults(s batch.State, b batch.Bag) (out []cause.Fault) {
	add := func(is bool, f cause.Fault) {
		if is && !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	some := func(word string) bool { return word == "some" || word == "much" }
	for _, r := range resultsOf(s, b) {
		for _, f := range r.Faults {
			add(true, cause.Fault(f))
		}
		add(r.Bright > 0 && r.Bright <= poorRating, cause.Pale)
		add(r.Even > 0 && r.Even <= poorRating, cause.Patchy)
		add(some(r.White) || r.WhiteShare != nil && *r.WhiteShare > whiteLeft, cause.WhiteInside)
		add(some(r.Bled), cause.Bled)
	}
	return out
}

// resultsOf returns the ratings of a bag, then of its pieces.
func resultsOf(s batch.State, b batch.Bag) (out []batch.Result) {
	for _, subject := range append([]journal.ID{b.ID}, pieceIDs(b)...) {
		if r, ok := s.ResultOf(subject); ok {
			out = append(out, r)
		}
	}
	return out
}

func pieceIDs(b batch.Bag) (ids []journal.ID) {
	for _, p := range b.Pieces {
		ids = append(ids, p.Piece)
	}
	return ids
}

// evidenceOf collects for package cause what is recorded about a bag.
func evidenceOf(s batch.State, b batch.Bag, e ViewEnv) cause.Evidence {
	r := cause.Evidence{}
	addClothEvidence(&r, s, b)
	addSoakEvidence(&r, s, b)
	addDyeEvidence(&r, s, b)
	addCureEvidence(&r, s, b, e)
	addWashEvidence(&r, s, b)
	return r
}

// worseFibres orders fibres by how badly they take the dye, the best first.
var worseFibres = []goods.Affinity{goods.AffinityDyes, goods.AffinityStains, goods.AffinityNeedsOtherBath, goods.AffinityStaysWhite}

// addClothEvidence adds the fibre that takes dye worst, and whether the pieces were washed
// first. Where no piece of the batch was marked as washed, nobody recorded it.
func addClothEvidence(r *cause.Evidence, s batch.State, b batch.Bag) {
	marked := slices.ContainsFunc(s.Pieces, func(p batch.Piece) bool { return p.IsScoured })
	worst := -1
	for _, bp := range b.Pieces {
		p, ok := s.Piece(bp.Piece)
		if !ok {
			continue
		}
		if marked && (r.Scoured == nil || *r.Scoured) {
			scoured := p.IsScoured
			r.Scoured = &scoured
		}
		for _, f := range append([]journal.FibreShare{{Fibre: p.Fibre, Share: p.MainFibreShare}}, p.Blend...) {
			info, known := goods.Fibre(f.Fibre).Info()
			if rank := slices.Index(worseFibres, info.Affinity); known && rank > worst {
				worst, r.Fibre, r.FibreShare = rank, info.Fibre, f.Share
			}
		}
	}
}

// addSoakEvidence adds the bath that was in use when the bag was closed.
func addSoakEvidence(r *cause.Evidence, s batch.State, b batch.Bag) {
	var bath *batch.Soak
	used := 0
	for i, x := range s.Soaks {
		if x.MixedAt <= b.ClosedAt && !x.NeedsNewerApp {
			bath = &s.Soaks[i]
			used++
		}
	}
	if bath == nil || bath.WaterML <= 0 {
		return
	}
	form := alkali.Anhydrous
	if bath.Form != "" {
		form = alkali.Form(bath.Form)
	}
	strength := unit.GramsPerLitre(form.AnhydrousIn(unit.Mass(bath.SodaGrams)), unit.Volume(bath.WaterML))
	r.SoakStrength = pointer(float64(strength))
	if bath.Hardness > 0 {
		r.Hardness = pointer(bath.Hardness)
	}
	if bath.BegunAt != 0 && bath.EndedAt > bath.BegunAt {
		r.SoakMinutes = pointer(float64(bath.EndedAt.Sub(bath.BegunAt)) / float64(zone.Minute))
		for _, bp := range b.Pieces {
			p, _ := s.Piece(bp.Piece)
			r.Tied = r.Tied || p.TiedAt != 0 && p.TiedAt <= bath.BegunAt
		}
	}
	if bath.PH != 0 {
		celsius := 25.0
		if bath.Celsius != nil {
			celsius = *bath.Celsius
		}
		c := soak.Check(strength, unit.Temperature(celsius), unit.PH(bath.PH), soak.Instrument(bath.MeasuredWith))
		r.SoakCheck = &cause.Check{PH: unit.PH(bath.PH), Expected: c.Expected, Spent: float64(c.Spent), Verdict: c.Verdict}
		if c.Verdict == soak.VerdictCannotTell { // a strip cannot tell fresh from weakening
			r.SoakCheck.Spent = 0
		}
	}
	grams, _ := dryWeight(s)
	r.SoakGoods = grams / float64(used)
	least := unit.Volume(bath.WaterML * soak.MinRemaining.Value)
	driest := soak.Goods{DryMass: unit.Mass(grams), Pickup: unit.Share(goods.HeldAfterWringing.Low)}
	r.SoakServes = pointer(float64(soak.Bath{Volume: unit.Volume(bath.WaterML), Strength: strength}.Serves(driest, least)))
}

// addDyeEvidence adds the jugs that the bag's colours came from, and how much dye went on.
func addDyeEvidence(r *cause.Evidence, s batch.State, b batch.Bag) {
	var labs []colour.Lab
	for _, bc := range b.Colours {
		c, ok := s.Colour(bc.Colour)
		if !ok || c.NeedsNewerApp {
			continue
		}
		rgb := parseRGB(c.RGB)
		labs = append(labs, colour.FromSRGB(rgb[0], rgb[1], rgb[2]))
		d := cause.Dye{Name: c.Name, Class: dye.Class(c.Class), PlannedStrength: c.Strength * c.Depth}
		if j, ok := jugOf(s, c.ID, b.ClosedAt); ok {
			d.MadeStrength = pointer(j.PowderGrams / j.VolumeML * 1000)
			r.Alginate = max(r.Alginate, j.AlginateGrams/j.VolumeML*1000)
			addAgeEvidence(&d, j, b.ClosedAt)
		}
		r.Dyes = append(r.Dyes, d)
	}
	r.HueGap = hueGap(labs)
	r.DyePerGram = dyePerGram(s, b)
}

// jugOf returns the last jug of a colour that was mixed no later than at.
func jugOf(s batch.State, id journal.ID, at zone.Instant) (jug batch.Jug, ok bool) {
	for _, j := range s.Jugs {
		if j.Colour == id && j.MixedAt <= at && j.VolumeML > 0 && !j.NeedsNewerApp {
			jug, ok = j, true
		}
	}
	return jug, ok
}

// addAgeEvidence adds how old the dye was when the bag was closed, and how fresh.
func addAgeEvidence(d *cause.Dye, j batch.Jug, closed zone.Instant) {
	celsius := cure.UsualTemperature.Value
	hours := func(from zone.Instant) *float64 { return pointer(float64(closed.Sub(from)) / float64(zone.Hour)) }
	d.AgeHours = hours(j.MixedAt)
	m := cure.MixedDye{Class: d.Class, Temperature: unit.Temperature(celsius), Age: unit.Hours(*d.AgeHours)}
	if j.ActivatedAt != 0 && j.ActivatedAt <= closed {
		d.SodaAgeHours = hours(j.ActivatedAt)
		m.Alkali, m.Age = true, unit.Hours(*d.SodaAgeHours)
	}
	d.Freshness = string(m.Freshness())
}

// heldShare returns what the wet pieces in a bag hold, of their dry weight, where it was weighed.
func heldShare(s batch.State, b batch.Bag) (share float64, ok bool) {
	grams := bagGrams(s, b)
	if grams <= 0 || b.WeighedGrams <= grams {
		return 0, false
	}
	return (b.WeighedGrams - grams) / grams, true
}

// dyePerGram returns the dye that the bag's pieces got for a gram of cloth, in mL: as it was
// recorded piece by piece; else what the weighed bag holds beyond what wrung cloth does; else what
// all jugs held, which is at most that; nil where that tells nothing.
func dyePerGram(s batch.State, b batch.Bag) *float64 {
	ml, grams := 0.0, 0.0
	for _, bp := range b.Pieces {
		if p, ok := s.Piece(bp.Piece); ok && len(p.DyePuts) > 0 {
			for _, d := range p.DyePuts {
				ml += d.ML * float64(bp.Count)
			}
			grams += p.Grams * float64(bp.Count)
		}
	}
	if grams > 0 {
		return pointer(ml / grams)
	}
	if held, ok := heldShare(s, b); ok {
		return pointer(max(0, held-goods.HeldAfterWringing.Value))
	}
	all, _ := dryWeight(s)
	for _, c := range s.Colours {
		if j, ok := jugOf(s, c.ID, b.ClosedAt); ok {
			ml += j.VolumeML
		}
	}
	if all <= 0 || ml <= 0 {
		return nil
	}
	return pointer(min(ml/all, 1.1)) // how much of it was used is not known
}

// strongChroma is the chroma from which a colour has a hue that matters (judgement).
const strongChroma = 25

// hueGap returns the largest angle between the hues of strong colours, nil for fewer than
// two.
func hueGap(labs []colour.Lab) *float64 {
	gap, found := 0.0, false
	for i, p := range labs {
		for _, q := range labs[:i] {
			if math.Hypot(p.A, p.B) < strongChroma || math.Hypot(q.A, q.B) < strongChroma {
				continue
			}
			d := math.Abs(math.Atan2(p.B, p.A)-math.Atan2(q.B, q.A)) * 180 / math.Pi
			gap, found = max(gap, min(d, 360-d)), true
		}
	}
	if !found {
		return nil
	}
	return &gap
}

// addCureEvidence adds the cure of a bag that was opened, by its slowest colour that can be
// timed.
func addCureEvidence(r *cause.Evidence, s batch.State, b batch.Bag, e ViewEnv) {
	if b.OpenedAt == 0 || b.OpenedAt <= b.ClosedAt {
		return
	}
	for _, d := range drySpans(b, b.ClosedAt) {
		till := d.Till
		if till == 0 {
			till = b.OpenedAt
		}
		if r.Dried == nil {
			r.Dried = &cause.Dried{Wetted: true}
		}
		r.Dried.Hours += float64(till.Sub(d.From)) / float64(zone.Hour)
		r.Dried.Wetted = r.Dried.Wetted && d.Till != 0
	}
	e.Kit.Cure = journal.OwnFigure{} // by the usual time: the dyer's own figure is drawn from this
	timed := b
	timed.DryFindings = nil // a piece that went dry has its own rule
	timed.Colours = slices.DeleteFunc(slices.Clone(b.Colours), func(bc journal.ColourInBag) bool {
		c, ok := s.Colour(bc.Colour)
		return !ok || !cure.IsTimed(dye.Class(c.Class))
	})
	if len(timed.Colours) == 0 {
		return
	}
	o, course, read := bagOutlook(s, timed, e, b.OpenedAt)
	c := &cause.Cure{Done: float64(o.DoneShare), Low: float64(o.DoneShareLow), High: float64(o.DoneShareHigh), IsRead: read,
		Hours: float64(b.OpenedAt.Sub(b.ClosedAt)) / float64(zone.Hour)}
	c.Coldest, c.Warmest = unit.Temperature(math.Inf(1)), unit.Temperature(math.Inf(-1))
	for i := range 49 { // each half hour of a day, or the like
		n := course.At(b.ClosedAt.Add(zone.Span(float64(b.OpenedAt.Sub(b.ClosedAt)) * float64(i) / 48)))
		c.Coldest, c.Warmest = min(c.Coldest, n.Celsius), max(c.Warmest, n.Celsius)
	}
	r.Cure = c
}

// addWashEvidence adds how the bag was rinsed and washed.
func addWashEvidence(r *cause.Evidence, s batch.State, b batch.Bag) {
	baths := b.RinseBaths
	for _, x := range s.Rinses {
		if len(x.Bags) > 0 && !slices.Contains(x.Bags, b.ID) {
			continue
		}
		if x.Celsius != nil && r.FirstBath == nil {
			r.FirstBath = pointer(*x.Celsius)
		}
		if b.RinseBaths == 0 {
			baths++
		}
	}
	if baths > 0 {
		r.Baths = &baths
	}
	if p, _, ok := planRinse(s, b); ok {
		r.BathsNeeded = p.ColdBaths + p.HotBaths
	}
	r.Clear = b.RanClear
	if b.LastRagTest != nil {
		r.Rag = b.LastRagTest.Showed
	}
	for _, w := range s.Washes {
		if r.WashedAlone == nil && (len(w.Bags) == 0 || slices.Contains(w.Bags, b.ID)) {
			r.WashedAlone = pointer(w.Alone)
		}
	}
}

func pointer[T any](v T) *T { return &v }
