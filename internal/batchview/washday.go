package batchview

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/colour"
	"coldbatch/internal/cure"
	"coldbatch/internal/journal"
	"coldbatch/internal/provenance"
	"coldbatch/internal/rinse"
	"coldbatch/internal/unit"
)

// WashOrder says what a wash day has: the tub and the washing machine, as a person types
// them, and whether only the bags of one place are washed.
type WashOrder struct {
	Tub     string     `json:"tub"`     // "20 L"
	Machine string     `json:"machine"` // dry cloth that it is rated for: "6 kg"
	Place   journal.ID `json:"place,omitempty"`
}

// What is assumed where the tub's or the machine's size cannot be read.
const (
	assumedTubML    = 20_000
	assumedMachineG = 6000
)

// readEquipment returns the tub in mL and what the machine is rated for in g.
func (o WashOrder) readEquipment() (tubML, machineG float64) {
	tubML, machineG = assumedTubML, assumedMachineG
	if v, err := unit.Parse(unit.KindVolume, o.Tub); err == nil && v > 0 {
		tubML = v
	}
	if v, err := unit.Parse(unit.KindMass, o.Machine); err == nil && v > 0 {
		machineG = v
	}
	return tubML, machineG
}

// WashDay says which bags are rinsed together, in which order and how often, and which go
// into the machine together.
type WashDay struct {
	Headline string              `json:"headline"`
	Water    string              `json:"water"`   // for all tubs together
	Tubs     []TubView           `json:"tubs"`    // still to rinse, in order
	Machine  []MachineLoad       `json:"machine"` // rinsed: to wash
	Places   []WashPlace         `json:"places"`  // where bags to rinse stand
	Pieces   []WashPiece         `json:"pieces"`  // what is in all of them, to tell pieces apart
	Sources  []provenance.Source `json:"sources"`
}

// WashPlace is a place with bags to rinse.
type WashPlace struct {
	ID   journal.ID `json:"id"`
	Name string     `json:"name"`
	Bags int        `json:"bags"`
}

// WashBag is a bag as its row in a tub.
type WashBag struct {
	ID       journal.ID   `json:"id"`
	Batch    journal.ID   `json:"batch"`
	Number   string       `json:"number"`
	Contents string       `json:"what"`
	Colours  []ColourView `json:"colours"`
}

// TubView is a group of bags that are rinsed in one tub. NextStep is open, cold, hot, rag or clear.
type TubView struct {
	Key           journal.ID `json:"key"` // of the tub, for its baths
	Depth         string     `json:"depth"`
	Title         string     `json:"title"` // "Light colours"
	Bags          []WashBag  `json:"bags"`
	Weight        string     `json:"weight"`
	BathText      string     `json:"bath"` // "12 L"
	BathML        float64    `json:"bathML"`
	ColdBaths     int        `json:"coldBaths"`
	HotBaths      int        `json:"hotBaths"`
	ColdBathsDone int        `json:"coldBathsDone"`
	HotBathsDone  int        `json:"hotBathsDone"`
	Water         string     `json:"water"`
	NextStep      string     `json:"next"`
	Text          string     `json:"text"` // "cold bath 2 of 4"
	Rag           string     `json:"rag,omitempty"`
}

// MachineLoad is a group of bags that are washed in the machine together.
type MachineLoad struct {
	Title  string    `json:"title"`
	Bags   []WashBag `json:"bags"`
	Weight string    `json:"weight"`
}

// WashPiece describes a piece that somebody holds on wash day, to find out which piece it is.
type WashPiece struct {
	Batch   journal.ID   `json:"batch"`
	Bag     journal.ID   `json:"bag"`
	Number  string       `json:"number"` // of its bag
	Kind    string       `json:"kind"`   // "tee, large"
	Fold    string       `json:"fold"`
	Tags    string       `json:"tags,omitempty"` // numbers of the tags on it
	Photo   string       `json:"photo,omitempty"`
	Colours []ColourView `json:"colours"`
}

// washable is a bag to rinse or to wash.
type washable struct {
	state batch.State
	bag   batch.Bag
	goods rinse.DyedGoods
}

// ViewWashDay plans the wash of all bags that are ready, probably ready or opened.
func ViewWashDay(states []batch.State, o WashOrder, e ViewEnv) WashDay {
	v := WashDay{Tubs: []TubView{}, Machine: []MachineLoad{}, Places: []WashPlace{}, Pieces: []WashPiece{},
		Sources: []provenance.Source{rinse.WashOrderSource, rinse.LightFrom.Source, RinseRatio.Source, rinse.MachineFillShare.Source}}
	tubML, machineG := o.readEquipment()
	var closed, opened, rinsed []washable
	begun := map[journal.ID][]washable{}
	var tubs []journal.ID
	for _, s := range states {
		for _, b := range s.Bags {
			w := washable{s, b, dyedGoods(s, b)}
			place := b.Stays[len(b.Stays)-1].Place
			if stage := b.Stage(); b.NeedsNewerApp || s.NeedsNewerApp || stage == "done" || stage == "cure" && !isWashable(s, b, e) {
				continue
			} else if stage != "rinsed" {
				v.addPlace(place, e)
			}
			if o.Place != "" && place != o.Place {
				continue
			}
			v.addPieces(w, e)
			switch {
			case b.Stage() == "rinsed":
				rinsed = append(rinsed, w)
			case b.Stage() == "cure":
				closed = append(closed, w)
			case b.Tub == "":
				opened = append(opened, w)
			default:
				if begun[b.Tub] == nil {
					tubs = append(tubs, b.Tub)
				}
				begun[b.Tub] = append(begun[b.Tub], w)
			}
		}
	}
	water := 0.0
	add := func(list []washable, next string) {
		t := viewTub(list, next, e)
		water += t.BathML * float64(max(t.ColdBaths, t.ColdBathsDone)+max(t.HotBaths, t.HotBathsDone))
		v.Tubs = append(v.Tubs, t)
	}
	for _, key := range tubs {
		add(begun[key], "cold")
	}
	for _, list := range shareTubs(opened, tubML/RinseRatio.Value) {
		add(list, "cold")
	}
	for _, list := range shareTubs(closed, tubML/RinseRatio.Value) {
		add(list, "open")
	}
	for _, list := range shareTubs(rinsed, machineG*rinse.MachineFillShare.Value) {
		v.Machine = append(v.Machine, viewLoad(list, e))
	}
	slices.SortStableFunc(v.Places, func(a, b WashPlace) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID)) })
	if water > 0 {
		v.Water = "about " + e.formatVolume(water)
	}
	bags := 0
	for _, t := range v.Tubs {
		bags += len(t.Bags)
	}
	switch {
	case bags > 0:
		v.Headline = countWords(bags, "bag", "bags") + " in " + countWords(len(v.Tubs), "tub", "tubs")
	case len(rinsed) > 0:
		v.Headline = countWords(len(rinsed), "bag", "bags") + " to wash"
	default:
		v.Headline = "Nothing to wash"
	}
	return v
}

// isWashable says whether a closed bag is ready or probably ready.
func isWashable(s batch.State, b batch.Bag, e ViewEnv) bool {
	o, _, _ := bagOutlook(s, b, e, e.Now)
	return o.Verdict == cure.VerdictReady || o.Verdict == cure.VerdictNoGain || o.Verdict == cure.VerdictProbablyReady
}

// dyedGoods returns what the wash of a bag depends on. Its darkest colour counts, because
// that is the one that bleeds.
func dyedGoods(s batch.State, b batch.Bag) rinse.DyedGoods {
	g := rinse.DyedGoods{Mass: unit.Mass(bagGrams(s, b)), Lightness: 100}
	for _, c := range bagColours(s, b) {
		rgb := parseRGB(c.RGB)
		if lab := colour.FromSRGB(rgb[0], rgb[1], rgb[2]); lab.L < g.Lightness {
			g.Lightness, g.Hue = lab.L, math.Mod(math.Atan2(lab.B, lab.A)*180/math.Pi+360, 360)
		}
	}
	return g
}

// bagGrams returns the dry weight of what is in a bag.
func bagGrams(s batch.State, b batch.Bag) (grams float64) {
	for _, bp := range b.Pieces {
		p, _ := s.Piece(bp.Piece)
		grams += p.Grams * float64(bp.Count)
	}
	return grams
}

func shareTubs(list []washable, holdsGrams float64) (tubs [][]washable) {
	all := make([]rinse.DyedGoods, len(list))
	for i, w := range list {
		all[i] = w.goods
	}
	for _, indexes := range rinse.AssignTubs(all, unit.Mass(holdsGrams)) {
		var tub []washable
		for _, i := range indexes {
			tub = append(tub, list[i])
		}
		tubs = append(tubs, tub)
	}
	return tubs
}

var depthTitles = map[rinse.Depth]string{rinse.DepthLight: "light colours", rinse.DepthMedium: "medium colours", rinse.DepthDark: "dark, alone"}

func viewTub(list []washable, next string, e ViewEnv) TubView {
	first := list[0]
	t := TubView{Key: cmp.Or(first.bag.Tub, first.bag.ID), Depth: string(first.goods.Depth()), Title: depthTitles[first.goods.Depth()], NextStep: next}
	grams := 0.0
	t.ColdBathsDone, t.HotBathsDone = first.bag.ColdBaths, first.bag.HotBaths
	for _, w := range list {
		t.Bags = append(t.Bags, viewWashBag(w))
		grams += float64(w.goods.Mass)
		t.ColdBathsDone, t.HotBathsDone = min(t.ColdBathsDone, w.bag.ColdBaths), min(t.HotBathsDone, w.bag.HotBaths)
		if w.bag.LastRagTest != nil && worstRag(w.bag.LastRagTest.Showed, t.Rag) {
			t.Rag = w.bag.LastRagTest.Showed
		}
	}
	tub := rinsingTub(grams)
	t.Weight, t.BathText, t.BathML = e.formatMass(grams)+" dry", e.formatVolume(float64(tub.Bath)), float64(tub.Bath)
	t.ColdBaths, t.HotBaths = 3, 2 // where a sum cannot be made: as is usual
	if grams > 0 && tub.BathExceedsHeld() {
		if p, ok := tub.Plan(unit.Share(rinse.MaxShareLeft.Value)); ok {
			t.ColdBaths, t.HotBaths = p.ColdBaths, p.HotBaths
		}
	}
	t.Water = e.formatVolume(t.BathML * float64(t.ColdBaths+t.HotBaths))
	t.setNext(list)
	return t
}

// worstRag says whether a rag that showed this is worse than that.
func worstRag(this, that string) bool {
	rank := []string{"", "clean", "tinted", "stained"}
	return slices.Index(rank, this) > slices.Index(rank, that)
}

// setNext sets what to do next with a tub that is opened.
func (t *TubView) setNext(list []washable) {
	baths := func(kind string, done, all int) string {
		return kind + " bath " + strings.Join([]string{formatBagNumber(done+1, ""), formatBagNumber(max(all, done+1), "")}, " of ")
	}
	isTested := t.Rag != "" && !slices.ContainsFunc(list, func(w washable) bool { return w.bag.LastRagTest == nil || w.bag.LastRagTest.At < w.bag.LastBathAt })
	switch {
	case t.NextStep == "open":
		t.Text = "open " + yesOrNo(len(list) == 1, "the bag", "the bags") + " and put the cloth in"
	case t.ColdBathsDone < t.ColdBaths:
		t.NextStep, t.Text = "cold", baths("cold", t.ColdBathsDone, t.ColdBaths)
	case t.HotBathsDone < t.HotBaths:
		t.NextStep, t.Text = "hot", baths("hot", t.HotBathsDone, t.HotBaths)+", 60 °C, with a little detergent"
	case !isTested:
		t.NextStep, t.Text = "rag", "press a white rag on the wet cloth"
	case t.Rag != "clean":
		t.NextStep, t.Text = "hot", "one more hot bath, then the rag again"
	default:
		t.NextStep, t.Text = "clear", "it runs clear"
	}
}

func viewWashBag(w washable) WashBag {
	return WashBag{ID: w.bag.ID, Batch: w.state.ID, Number: formatBagNumber(w.bag.Number, w.bag.Letter), Contents: contentWords(w.state, w.bag), Colours: bagColours(w.state, w.bag)}
}

func viewLoad(list []washable, e ViewEnv) MachineLoad {
	l := MachineLoad{Title: depthTitles[list[0].goods.Depth()]}
	grams := 0.0
	for _, w := range list {
		l.Bags = append(l.Bags, viewWashBag(w))
		grams += float64(w.goods.Mass)
	}
	l.Weight = e.formatMass(grams) + " dry"
	return l
}

func (v *WashDay) addPlace(id journal.ID, e ViewEnv) {
	i := slices.IndexFunc(v.Places, func(p WashPlace) bool { return p.ID == id })
	if i < 0 {
		i = len(v.Places)
		v.Places = append(v.Places, WashPlace{ID: id, Name: cmp.Or(e.Places[id].Name, "no place set")})
	}
	v.Places[i].Bags++
}

// addPieces adds what is in a bag.
func (v *WashDay) addPieces(w washable, e ViewEnv) {
	for _, bp := range w.bag.Pieces {
		p, known := w.state.Piece(bp.Piece)
		if !known || bp.Count == 0 {
			continue
		}
		x := WashPiece{Batch: w.state.ID, Bag: w.bag.ID, Number: formatBagNumber(w.bag.Number, w.bag.Letter), Kind: pieceWords(p, bp.Count),
			Fold: foldOf(cmp.Or(w.bag.Fold, p.Fold)).Words, Colours: bagColours(w.state, w.bag)}
		var tags []string
		for _, blank := range w.state.Blanks {
			if blank.Piece == p.ID {
				tags = append(tags, formatBagNumber(blank.Number, blank.Letter))
			}
		}
		x.Tags = strings.Join(tags, ", ")
		for _, photo := range bagPhotos(w.state, w.bag, e) {
			x.Photo = cmp.Or(x.Photo, photo.Hash)
		}
		v.Pieces = append(v.Pieces, x)
	}
}
