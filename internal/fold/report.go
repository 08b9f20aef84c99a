package fold

import (
	"fmt"
	"math"
)

// Remedy is a change that leaves less white, and how much white the model sees then.
type Remedy struct {
	Words      string  `json:"words"`
	WhiteShare float64 `json:"white"` // share of the cloth, 0 to 1
}

// tolerableWhite is the share of white below which no remedy is needed.
const tolerableWhite = 0.02

// Remedies lists changes to the design of c that would leave less white, the best first.
// It lists none where little is white. Each is worked out with the same model.
func (c *DyedCloth) Remedies() []Remedy {
	white := c.WhiteShare()
	if white < tolerableWhite {
		return nil
	}
	var all []Remedy
	try := func(words string, change func(*DyeApplication)) {
		d := *c.Dyeing
		d.Steps = append([]DyeStep(nil), d.Steps...)
		change(&d)
		changed, err := c.Map.ApplyDye(&d)
		if err != nil {
			return
		}
		if w := changed.WhiteShare(); w < white-0.01 {
			all = append(all, Remedy{words, w})
		}
	}
	if c.oneSided() && !c.Map.shape.isRope {
		try("turn it over and dye the other side the same way", turnOver)
	}
	try("squeeze a third of the dye into the creases", func(d *DyeApplication) {
		for i := range d.Steps {
			d.Steps[i].Crease = max(d.Steps[i].Crease, 1./3)
		}
	})
	laid := 0.
	for _, s := range c.Steps {
		laid += s.ML
	}
	more := 0.25
	try(fmt.Sprintf("use about %.0f mL more dye", laid*more), func(d *DyeApplication) {
		for i := range d.Steps {
			d.Steps[i].Fill = min(d.Steps[i].Fill*(1+more), 2)
		}
	})
	all = append(all, c.fewerLayers(white)...)
	for i := 1; i < len(all); i++ {
		for j := i; j > 0 && all[j].WhiteShare < all[j-1].WhiteShare; j-- {
			all[j], all[j-1] = all[j-1], all[j]
		}
	}
	return all
}

// oneSided says whether no step puts dye on side B.
func (c *DyedCloth) oneSided() bool {
	for _, s := range c.Dyeing.Steps {
		if s.Side == SideB {
			return false
		}
	}
	return true
}

// DyeOneSideOnly puts all dye on side A, as much as on both before.
func (d *DyeApplication) DyeOneSideOnly() {
	var steps []DyeStep
	for _, s := range d.Steps {
		if s.Side == SideA {
			s.Fill *= 2
			steps = append(steps, s)
		}
	}
	d.Steps = steps
}

// turnOver repeats each step on the other side.
func turnOver(d *DyeApplication) {
	for _, s := range d.Steps {
		s.Side = SideB
		d.Steps = append(d.Steps, s)
	}
}

// fewerLayers returns the white of the same design folded less often, so that dye has fewer
// layers to go through.
func (c *DyedCloth) fewerLayers(white float64) []Remedy {
	f := c.Map.Fold
	usual, _ := f.UsualPleats()
	fewer := f.pleats() * 2 / 3
	if usual == 0 || fewer < 2 {
		return nil
	}
	f.Pleats = fewer
	const roughSize = 128 // pixels
	m, err := NewMap(c.Map.Garment, f, roughSize)
	if err != nil {
		return nil
	}
	changed, err := m.ApplyDye(c.Dyeing)
	if err != nil || changed.WhiteShare() > white-0.01 {
		return nil
	}
	return []Remedy{{fmt.Sprintf("fold it in %d pleats, so that dye has fewer layers to go through", fewer), changed.WhiteShare()}}
}

// DescribeWhite says in words where most of the white of WhiteShare lies: on side B, in the bundle's
// middle; "" where there is hardly any.
func (c *DyedCloth) DescribeWhite() string {
	if c.WhiteShare() < 0.005 {
		return ""
	}
	m := c.Map
	meant := c.meantToBeDyed()
	columns := m.nu * m.nv
	var inside, onA, onB, all float64
	for i, cloth := range m.cloth {
		if cloth == 0 || c.amount(i) >= maxWhiteDye || !meant[i%columns] {
			continue
		}
		all += float64(cloth)
		switch t := float64(i/columns) / (cellsPerColumn - 1); {
		case t < 0.2:
			onA += float64(cloth)
		case t > 0.8:
			onB += float64(cloth)
		default:
			inside += float64(cloth)
		}
	}
	rope := m.shape.isRope
	switch most := all / 2; {
	case rope && inside+onB > most:
		return "in the core of the rope"
	case onB > most || c.oneSided() && onB+inside > most && onA < 0.1*all:
		return "on side B and in the folds below side A"
	case onA > most:
		return "on side A"
	case inside > most:
		return "deep in the folds, out of sight"
	}
	return "here and there in the folds"
}

// amount returns all dye in a cell, as a share of what its cloth takes.
func (c *DyedCloth) amount(i int) (sum float32) {
	for k := range c.dyeInCells {
		sum += c.dyeInCells[k][i]
	}
	return sum
}

// Scaled returns the same steps with the dye of each multiplied by factor.
func (d *DyeApplication) Scaled(factor float64) *DyeApplication {
	out := *d
	out.Steps = append([]DyeStep(nil), d.Steps...)
	for i := range out.Steps {
		out.Steps[i].Fill = min(out.Steps[i].Fill*factor, 2)
	}
	return &out
}

// Report is what a card at the table says about a piece.
type Report struct {
	Steps         []DyeStepReport `json:"steps"`
	ML            float64         `json:"ml"`         // dye laid in all
	RunOffML      float64         `json:"run_off"`    // of it what the cloth cannot take
	WhiteInWords  string          `json:"where"`      // in words
	WhiteShare    float64         `json:"white"`      // share of the cloth that stays white where it should not
	LeftWhite     float64         `json:"left_white"` // and on purpose: in sections without dye, under bindings
	WhiteWithLess float64         `json:"if_less"`    // the same with 20 % less dye
	WhiteWithMore float64         `json:"if_more"`    // and with 20 % more
	ColourShares  []SectionShare  `json:"shares"`     // of the cloth, by colour
	Remedies      []Remedy        `json:"remedies"`   // what would leave less white, the best first
	Grams         float64         `json:"dry_grams"`  // of the garment
}

// DyeStepReport is one go with a bottle.
type DyeStepReport struct {
	Colour  string  `json:"colour"`
	Side    Side    `json:"side"`
	Section int     `json:"section"` // from 1
	ML      float64 `json:"ml"`
}

// SectionShare says how much of the cloth shows most of a colour.
type SectionShare struct {
	Colour string  `json:"colour"`
	Share  float64 `json:"share"`
}

// RemedyFillRange is the share by which the dye is varied to show how uncertain a picture is.
const RemedyFillRange = 0.2

// Report works out what a card says.
func (c *DyedCloth) Report() (r Report, err error) {
	r.WhiteShare, r.Remedies, r.Grams = c.WhiteShare(), c.Remedies(), c.Map.Garment.Grams()
	r.WhiteInWords, r.LeftWhite = c.DescribeWhite(), c.LeftWhite()
	for i, s := range c.Dyeing.Steps {
		r.Steps = append(r.Steps, DyeStepReport{c.Dyeing.Colours[s.Colour].Name, s.Side, s.Section, c.Steps[i].ML})
		r.ML += c.Steps[i].ML
		r.RunOffML += max(c.Steps[i].RunOff, 0)
	}
	for k, share := range c.ColourShares() {
		r.ColourShares = append(r.ColourShares, SectionShare{c.Dyeing.Colours[k].Name, share})
	}
	for factor, white := range map[float64]*float64{1 - RemedyFillRange: &r.WhiteWithLess, 1 + RemedyFillRange: &r.WhiteWithMore} {
		changed, err := c.Map.ApplyDye(c.Dyeing.Scaled(factor))
		if err != nil {
			return r, err
		}
		*white = changed.WhiteShare()
	}
	r.round()
	return r, nil
}

// round rounds to what a syringe and an eye can tell: 0.1 mL and a tenth of a per cent.
func (r *Report) round() {
	to := func(v *float64, step float64) { *v = math.Round(*v/step) / math.Round(1/step) }
	for i := range r.Steps {
		to(&r.Steps[i].ML, 0.1)
	}
	for i := range r.ColourShares {
		to(&r.ColourShares[i].Share, 0.001)
	}
	for i := range r.Remedies {
		to(&r.Remedies[i].WhiteShare, 0.001)
	}
	for _, v := range []*float64{&r.WhiteShare, &r.LeftWhite, &r.WhiteWithLess, &r.WhiteWithMore} {
		to(v, 0.001)
	}
	to(&r.ML, 0.1)
	to(&r.RunOffML, 0.1)
	to(&r.Grams, 1)
}
