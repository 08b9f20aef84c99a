package fold

import "fmt"

// Cure is a change that leaves less white, and how much white the model sees then.
type Cure struct {
	Words string
	White float64 // share of the cloth, 0 to 1
}

// tolerable is the share of white below which nobody asks for a cure.
const tolerable = 0.02

// Cures lists changes to the design of c that would leave less white, the best first.
// It lists none where little is white. Each is worked out with the same model.
func (c *Cloth) Cures() []Cure {
	white := c.White()
	if white < tolerable {
		return nil
	}
	var all []Cure
	try := func(words string, change func(*Design)) {
		d := *c.Design
		d.Steps = append([]Step(nil), d.Steps...)
		change(&d)
		changed, err := c.Map.Lay(&d)
		if err != nil {
			return
		}
		if w := changed.White(); w < white-0.01 {
			all = append(all, Cure{words, w})
		}
	}
	if c.oneSided() && !c.Map.shape.allRound {
		try("turn it over and put half of each colour on the other side", turnOver)
	}
	try("squeeze a third of the dye into the creases", func(d *Design) {
		for i := range d.Steps {
			d.Steps[i].Crease = max(d.Steps[i].Crease, 1./3)
		}
	})
	laid := 0.
	for _, s := range c.Steps {
		laid += s.ML
	}
	more := 0.25
	try(fmt.Sprintf("use about %.0f mL more dye", laid*more), func(d *Design) {
		for i := range d.Steps {
			d.Steps[i].Fill = min(d.Steps[i].Fill*(1+more), 2)
		}
	})
	for i := 1; i < len(all); i++ {
		for j := i; j > 0 && all[j].White < all[j-1].White; j-- {
			all[j], all[j-1] = all[j-1], all[j]
		}
	}
	return all
}

// oneSided says whether no step puts dye on side B.
func (c *Cloth) oneSided() bool {
	for _, s := range c.Design.Steps {
		if s.Side == SideB {
			return false
		}
	}
	return true
}

// turnOver halves each step and repeats it on the other side.
func turnOver(d *Design) {
	for i, s := range d.Steps {
		d.Steps[i].Fill /= 2
		s.Fill, s.Side = s.Fill/2, SideB
		d.Steps = append(d.Steps, s)
	}
}

// Scaled gives the design with all dye times factor.
func (d *Design) Scaled(factor float64) *Design {
	out := *d
	out.Steps = append([]Step(nil), d.Steps...)
	for i := range out.Steps {
		out.Steps[i].Fill = min(out.Steps[i].Fill*factor, 2)
	}
	return &out
}
