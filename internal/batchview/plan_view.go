package batchview

import (
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/price"
	"coldbatch/internal/provenance"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// PlanView is all that a batch needs, on one page.
type PlanView struct {
	ID       journal.ID           `json:"id"`
	Name     string               `json:"name"`
	Pieces   string               `json:"pieces"` // "24 pieces, 3.4 kg dry, partly assumed"
	Notes    []string             `json:"notes"`
	Jugs     []PlanJug            `json:"jugs"`
	DyeTotal string               `json:"dyeTotal,omitempty"` // "2.5 L of dye in 6 jugs"
	Rows     []PlanRow            `json:"rows"`               // soda ash, softener, bags, wash water
	Lacks    []ShoppingLine       `json:"lacks"`              // what the shelf does not have enough of
	Unknown  []ShoppingLine       `json:"unknown"`            // what nobody knows the amount of
	Cost     *CostView            `json:"cost,omitempty"`
	CostNote string               `json:"costNote,omitempty"`
	Times    TimesView            `json:"times"`
	Sources  []provenance.Source  `json:"sources"`
	Cautions []provenance.Caution `json:"cautions"`
}

// PlanJug is one colour of the plan.
type PlanJug struct {
	Colour  ColourView `json:"colour"`
	Worn    string     `json:"worn"`   // "12 pieces, 1.4 kg by its share"
	Need    string     `json:"need"`   // "takes about 430 mL"
	Volume  string     `json:"volume"` // "500 mL"
	Powder  string     `json:"powder"` // "14.4 g"
	Bottles string     `json:"bottles,omitempty"`
	Mixed   string     `json:"mixed,omitempty"` // what was mixed
	Lacks   string     `json:"lacks,omitempty"`
	Note    string     `json:"note,omitempty"`
}

// PlanRow is a line of the plan.
type PlanRow struct {
	Key    string `json:"key"`
	Title  string `json:"title"`
	Text   string `json:"text"`
	Detail string `json:"detail,omitempty"`
}

// CostView is what the batch costs.
type CostView struct {
	PerPiece   string         `json:"each"`
	Total      string         `json:"all"`
	Price      string         `json:"price,omitempty"` // to ask for one, with the margin
	Lines      []ShoppingLine `json:"lines"`
	Incomplete string         `json:"incomplete,omitempty"`
}

// planNumbers is what the words of a plan are made of, for one state of the shelf.
type planNumbers struct {
	levels []shelf.Level
	needs  []plan.Need
	totals plan.Totals
}

// countPlan makes the numbers of a plan.
func countPlan(s batch.State, st shelf.State, uses []shelf.BatchUses, e ViewEnv) planNumbers {
	n := planNumbers{levels: shelf.Count(st, uses)}
	n.needs, n.totals = plan.Needs(s, e.Kit, n.levels, plannedSoda(s, e))
	return n
}

// plannedSoda is the soda ash of the soak that is planned, 0 where one is mixed or all is in bags.
func plannedSoda(s batch.State, e ViewEnv) unit.Mass {
	left := 0
	for _, p := range s.Pieces {
		left += max(0, p.Count-s.CountBagged(p.ID))
	}
	if v := viewSoak(s, e); left > 0 && v.Stage == "plan" {
		return unit.Mass(v.SodaG)
	}
	return 0
}

// ViewPlan shows the plan of a batch. st is the shelf, its zero where there is none here.
func ViewPlan(s batch.State, st shelf.State, uses []shelf.BatchUses, e ViewEnv) PlanView {
	v := PlanView{ID: s.ID, Name: s.Name, Notes: []string{}, Jugs: []PlanJug{}, Rows: []PlanRow{}, Lacks: []ShoppingLine{}, Unknown: []ShoppingLine{},
		Sources: []provenance.Source{plan.Slack.Source, SoakRatio.Source, RinseRatio.Source, plan.TieTime.Source}, Cautions: []provenance.Caution{price.SellingCaution}}
	n := countPlan(s, st, uses, e)
	v.setPieces(s, e)
	for _, c := range s.Colours {
		if !c.NeedsNewerApp {
			v.Jugs = append(v.Jugs, e.viewPlanJug(s, c, n))
		}
	}
	if n.totals.Dye > 0 {
		v.DyeTotal = e.formatVolume(float64(n.totals.Dye)) + " of dye to mix"
	}
	for _, need := range n.needs {
		switch {
		case !need.IsCounted:
			v.Unknown = append(v.Unknown, ShoppingLine{need.Name, e.amountText(need.StockType, need.Amount) + " needed"})
		case need.Lacking() > 0:
			v.Lacks = append(v.Lacks, ShoppingLine{need.Name, e.lackingText(need)})
		}
	}
	v.setRows(s, n, e)
	v.setTimes(s, e)
	v.Cost, v.CostNote = e.costOf(s, st, n)
	return v
}

// setPieces says how many pieces there are, how heavy, and which are not dyed here.
func (v *PlanView) setPieces(s batch.State, e ViewEnv) {
	n := 0
	for _, p := range s.Pieces {
		n += p.Count
		if means := plan.BlendOf(p).DyeingNote(); means != "" {
			isLeftOut := plan.BlendOf(p).HarmedFibre() != ""
			v.Notes = append(v.Notes, pieceWords(p, p.Count)+": "+means+yesOrNo(isLeftOut, "; left out of the sums", ""))
		}
	}
	grams, assumed := dryWeight(s)
	if n > 0 {
		v.Pieces = countWords(n, "piece", "pieces") + ", " + e.formatMass(grams) + " dry" + assumed
	}
}

// viewPlanJug shows the jug of one colour.
func (e ViewEnv) viewPlanJug(s batch.State, c batch.Colour, n planNumbers) PlanJug {
	j := plan.JugOf(s, c, e.Kit)
	out := PlanJug{Colour: viewColour(c), Volume: e.formatVolume(float64(j.Volume)), Powder: e.formatMass(float64(j.Powder)), Bottles: e.bottleWords(j)}
	out.Colour.Strength = e.formatStrength(c.Strength)
	switch {
	case j.Pieces == 0 && j.LeftOut > 0:
		out.Worn, out.Note = "only pieces that are left out use it", "choose it for another piece, or remove it"
	case j.Pieces == 0:
		out.Worn, out.Note = "no piece uses it", "choose it for a piece, or remove it"
	default:
		out.Worn = countWords(j.Pieces, "piece", "pieces") + ", " + e.aboutMass(float64(j.Cloth)) + " of cloth"
		out.Need = "takes about " + e.aboutVolume(float64(j.Need))
		if float64(j.Volume) < float64(j.Need)*(1-plan.Slack.Value)-1e-9 {
			out.Note = "less than the cloth holds: it comes out paler, or partly white"
		}
	}
	if plan.IsMixed(s, c.ID) {
		for i := len(s.Jugs) - 1; i >= 0; i-- {
			if m := s.Jugs[i]; m.Colour == c.ID && !m.IsDiscarded && !m.NeedsNewerApp {
				out.Mixed = e.formatMass(m.PowderGrams) + " made up to " + e.formatVolume(m.VolumeML)
				break
			}
		}
		return out
	}
	for _, need := range n.needs {
		if need.Stock == c.Stock && c.Stock != "" && need.Lacking() > 0 {
			out.Lacks = e.lackingText(need)
		}
	}
	return out
}

// bottleWords says how many bottles a jug fills: "2 bottles of 240 mL, 200 mL into each".
func (e ViewEnv) bottleWords(j plan.Jug) string {
	if j.Bottles == 0 || j.Holds == 0 {
		return ""
	}
	fill := float64(j.Fill)
	if fill > float64(j.Holds) {
		return "too much for " + countWords(j.Bottles, "bottle", "bottles") + " of " + e.formatVolume(float64(j.Holds))
	}
	out := countWords(j.Bottles, "bottle", "bottles") + " of " + e.formatVolume(float64(j.Holds)) + ", "
	if j.Bottles == 1 {
		return out + "filled to " + e.aboutVolume(fill)
	}
	return out + e.aboutVolume(fill) + " into each"
}

// setRows lists what is not dye.
func (v *PlanView) setRows(s batch.State, n planNumbers, e ViewEnv) {
	add := func(key, title, text, detail string) { v.Rows = append(v.Rows, PlanRow{key, title, text, detail}) }
	if len(s.Pieces) == 0 {
		return
	}
	if soak := viewSoak(s, e); soak.Stage == "plan" {
		add("soda", "Soda ash", soak.Soda+" in "+soak.Water, "the soak, "+soak.PH)
	} else {
		add("soda", "Soda ash", soak.Text, "")
	}
	switch {
	case !e.Kit.HasWater:
		add("softener", "Softener", "enter your water's hardness on the shelf", "")
	case n.totals.Softener > 0:
		add("softener", "Softener", e.formatMass(float64(n.totals.Softener)), "into the dye water, before the dye: the water is "+waterWords(e.Kit.Hardness))
	case n.totals.Dye > 0:
		add("softener", "Softener", "none", "the water is "+waterWords(e.Kit.Hardness))
	}
	if n.totals.Bags > 0 {
		add("bags", "Bags and labels", unit.Show(unit.KindCount, float64(n.totals.Bags), e.Style), "one for each piece")
	}
	grams := 0.0
	for _, p := range s.Pieces {
		if plan.BlendOf(p).HarmedFibre() == "" {
			grams += p.Grams * float64(p.Count)
		}
	}
	if w, ok := plan.WashOf(grams, RinseRatio.Value, MinRinseBath.Value); ok {
		add("wash", "Water to wash it out", "about "+e.aboutVolume(float64(w.Water)),
			countWords(w.Cold, "cold bath", "cold baths")+" and "+countWords(w.Hot, "hot bath", "hot baths")+" of "+e.aboutVolume(float64(w.Bath)))
	}
}

// costOf says what a batch and one piece cost, or in a note why that cannot be said.
func (e ViewEnv) costOf(s batch.State, st shelf.State, n planNumbers) (view *CostView, note string) {
	c, ok, err := plan.CostOf(s, st, n.levels, n.needs)
	if err != nil {
		return nil, fault.AsFault(err).Sentence
	}
	if !ok {
		return nil, "no prices yet: enter what you pay when you buy something"
	}
	money := func(a price.Amount) string {
		text, err := c.Format(a)
		if err != nil {
			return "–"
		}
		return e.localDecimal(text)
	}
	view = &CostView{PerPiece: money(c.Sums.CostEach), Total: money(c.Sums.Cost), Lines: []ShoppingLine{}}
	if st.Sums.Margin > 0 {
		view.Price = money(c.Sums.PriceEach)
	}
	for _, i := range c.Items {
		view.Lines = append(view.Lines, ShoppingLine{i.Name, money(i.Price)})
	}
	if len(c.Unpriced) > 0 {
		view.Incomplete = "excludes " + strings.Join(c.Unpriced, ", ") + yesOrNo(len(c.Unpriced) == 1, ", which has no price", ", which have no price")
	}
	return view, ""
}

// localDecimal writes the decimal sign of the device.
func (e ViewEnv) localDecimal(text string) string {
	if e.Style.Comma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// waterWords names how hard water is: "hard".
func waterWords(hardness float64) string {
	return strings.ReplaceAll(string(alkali.ClassifyWater(unit.Hardness(hardness))), "-", " ")
}

// aboutVolume and aboutMass write an estimate.
func (e ViewEnv) aboutVolume(ml float64) string { return e.formatVolume(plan.RoundEstimate(ml)) }
func (e ViewEnv) aboutMass(g float64) string    { return e.formatMass(plan.RoundEstimate(g)) }
