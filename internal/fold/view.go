package fold

import (
	"fmt"
	"math"
	"strings"

	"coldbatch/internal/colour"
	"coldbatch/internal/goods"
	"coldbatch/internal/unit"
)

// Choices is what the fold screen offers to choose from.
type Choices struct {
	Folds    []FoldChoice    `json:"folds"`
	Garments []GarmentChoice `json:"garments"`
	Starters []Design        `json:"starters"`
	Dyes     []DesignColour  `json:"dyes"` // by their Colour Index names
}

// FoldChoice is a fold with the measures that it has.
type FoldChoice struct {
	Kind         Kind          `json:"kind"`
	Words        string        `json:"words"`
	Label        string        `json:"label"`  // the fold that a label prints, as package batchview names it
	Instructions string        `json:"how"`    // how to fold it
	HasCentre    bool          `json:"center"` // it has a centre
	Turns        float64       `json:"turns"`  // the usual number of turns; 0 for a fold that is not turned
	Pleats       int           `json:"pleats"` // the usual number; 0 for a fold without pleats
	MaxPleats    int           `json:"most"`   // and the largest
	IsRope       bool          `json:"rope"`   // dyed from all round
	Sections     []ShapeChoice `json:"sections"`
}

// ShapeChoice is a shape of section.
type ShapeChoice struct {
	Shape string `json:"shape"`
	Words string `json:"words"`
}

// GarmentChoice is a garment with a known shape.
type GarmentChoice struct {
	Garment string `json:"garment"`
	Words   string `json:"words"`
}

// howToFold says how each fold is made (common practice, no source).
var howToFold = map[Kind]string{
	Flat:          "lay it flat, nothing bound",
	Accordion:     "pleat it back and forth like a paper fan, and bind it",
	Diagonal:      "pleat it diagonally, and bind it",
	Rings:         "pull it up at one point, smooth it into a rope, and bind it where a ring ends",
	Spiral:        "pinch it at one point, twist until it is a flat disc, and bind the disc across",
	DoubleSpiral:  "twist two discs side by side, the second the other way",
	RadialPleats:  "pleat it about one point, like a folded paper star, and bind it",
	FoldedSquare:  "pleat it, then pleat the strip into a square, and press it between two boards",
	FoldedCorners: "pleat it, then fold the strip over and over into a triangle, and press it between two boards",
	Crumple:       "scrunch it into a flat heap, and bind it as it lies",
}

// labelFold is the fold of a bag's label for each kind.
var labelFold = map[Kind]string{Flat: "flat", Accordion: "stripes", Diagonal: "stripes", Rings: "rings", Spiral: "spiral", DoubleSpiral: "spiral",
	RadialPleats: "wedge", FoldedSquare: "square", FoldedCorners: "triangle", Crumple: "crumple"}

// middleDepth is the bonded dye of a colour that is picked by its dye, in per cent of the
// weight of the cloth (judgement: a full, not a dark shade).
const middleDepth = 1.5

// NewChoices returns the choices.
func NewChoices() Choices {
	c := Choices{Starters: Starters()}
	for _, k := range Kinds {
		f := Fold{Kind: k}
		x := FoldChoice{Kind: k, Words: k.Words(), Label: labelFold[k], Instructions: howToFold[k], IsRope: k == Rings,
			HasCentre: k == Spiral || k == DoubleSpiral || k == Rings || k == RadialPleats}
		x.Pleats, x.MaxPleats = f.UsualPleats()
		if k == Spiral || k == DoubleSpiral {
			x.Turns = f.turns()
		}
		for _, s := range f.Shapes() {
			x.Sections = append(x.Sections, ShapeChoice{s, s + "s"})
		}
		c.Folds = append(c.Folds, x)
	}
	for _, k := range goods.Kinds() {
		if g, err := NewGarment(string(k.Kind)); err == nil {
			c.Garments = append(c.Garments, GarmentChoice{g.Name, g.Words})
		}
	}
	for _, d := range colour.Dyes() {
		look := colour.DryAppearance(colour.AbsorptionOf(colour.DyeAmount{Dye: d, BondedPercent: middleDepth}))
		name := strings.ToLower(strings.TrimPrefix(d.Name, "C.I. Reactive "))
		c.Dyes = append(c.Dyes, DesignColour{name, fmt.Sprintf("#%02x%02x%02x", look.RGB[0], look.RGB[1], look.RGB[2]), d.Name, middleDepth})
	}
	for _, name := range []string{"square-60", "square-100"} {
		if g, err := NewGarment(name); err == nil {
			c.Garments = append(c.Garments, GarmentChoice{g.Name, g.Words})
		}
	}
	return c
}

// View is what the fold screen says about a design: what goes where, and what stays white.
type View struct {
	Words       string     `json:"words"`    // "spiral, tee, large"
	Steps       []StepView `json:"steps"`    // in the order of the sections, side A first
	TotalDye    string     `json:"total"`    // all dye
	RunOff      string     `json:"runOff"`   // what runs off; "" for hardly any
	White       string     `json:"white"`    // "about 3 %"
	WhitePlaces string     `json:"where"`    // where most of it lies
	WhiteRange  string     `json:"range"`    // with less and more dye
	Remedies    []string   `json:"remedies"` // what would leave less, the best first
	Shares      []string   `json:"shares"`   // of the cloth, by colour
	ResultsNote string     `json:"learned"`  // on how many results it rests
	WhiteShare  float64    `json:"whiteShare"`
}

// StepView is one go with a bottle.
type StepView struct {
	Side     string  `json:"side"` // "side A", "all round"
	SideKey  string  `json:"on"`   // a, b, or "" for all round
	ML       float64 `json:"ml"`
	Section  int     `json:"section"`
	Colour   string  `json:"colour"`
	Volume   string  `json:"volume"`
	Squeezes string  `json:"squeezes,omitempty"`
}

// WhiteWords says a share of white as roughly as the model knows it.
func WhiteWords(share float64) string {
	switch percent := 100 * share; {
	case percent < 0.5:
		return "none"
	case percent < 2:
		return "about 1 %"
	case percent < 10:
		return fmt.Sprintf("about %.0f %%", percent)
	default:
		return fmt.Sprintf("about %.0f %%", math.Round(percent/5)*5)
	}
}

// NewView says what a report means. results is how many of the dyer's own results it rests on, squeeze
// the mL of one squeeze of the bottle, 0 where that is not known.
func NewView(d Design, r Report, results int, squeeze float64, style unit.Style) View {
	ml := func(v float64) string { return unit.Show(unit.KindVolume, v, style) }
	v := View{Words: d.Words(), TotalDye: ml(r.ML), White: WhiteWords(r.WhiteShare), WhitePlaces: r.WhiteInWords, WhiteShare: r.WhiteShare,
		WhiteRange: fmt.Sprintf("%s with 20 %% less dye, %s with 20 %% more", WhiteWords(r.WhiteWithLess), WhiteWords(r.WhiteWithMore)),
		Steps:      []StepView{}, Remedies: []string{}, Shares: []string{}}
	for _, s := range r.Steps {
		step := StepView{Side: "side " + strings.ToUpper(string(s.Side)), SideKey: string(s.Side), ML: s.ML, Section: s.Section, Colour: s.Colour, Volume: ml(s.ML)}
		if d.Fold.Kind == Rings {
			step.Side, step.SideKey = "all round", ""
		}
		if squeeze > 0 {
			step.Squeezes = countOf(max(int(math.Round(s.ML/squeeze)), 1), "squeeze", "squeezes")
		}
		v.Steps = append(v.Steps, step)
	}
	if r.RunOffML > 0.02*r.ML && r.RunOffML > 1 {
		v.RunOff = ml(r.RunOffML)
	}
	for _, x := range r.Remedies {
		v.Remedies = append(v.Remedies, fmt.Sprintf("%s: leaves %s", x.Words, WhiteWords(x.WhiteShare)))
	}
	for _, x := range r.ColourShares {
		v.Shares = append(v.Shares, fmt.Sprintf("%s %.0f %%", x.Colour, 100*x.Share))
	}
	if r.LeftWhite >= 0.01 {
		v.Shares = append(v.Shares, fmt.Sprintf("left white %.0f %%", 100*r.LeftWhite))
	}
	v.ResultsNote = "an estimate: you have no results with this fold yet"
	if results == 1 {
		v.ResultsNote = "an estimate, corrected by your result with this fold"
	} else if results > 1 {
		v.ResultsNote = fmt.Sprintf("an estimate, corrected by your %d results with this fold", results)
	}
	return v
}

func countOf(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
