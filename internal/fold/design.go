package fold

import (
	"fmt"
	"strings"
	"unicode"

	"coldbatch/internal/colour"
	"coldbatch/internal/fault"
)

// Design is a piece as a dyer plans it: the garment, the fold, and which colour goes on
// which section of the bundle. It is kept and shared; its method DyeApplication turns it into steps.
type Design struct {
	Name    string         `json:"name"`
	Garment string         `json:"garment"` // as NewGarment takes it
	Fold    Fold           `json:"fold"`
	Shape   string         `json:"shape,omitempty"` // of the sections: one of Fold.Shapes; empty is the first
	Colours []DesignColour `json:"colours"`
	A       []int          `json:"a"`                 // the colour of each section on side A, by its index; −1 for none
	B       []int          `json:"b"`                 // and on side B; empty for a rope, which is dyed from all round
	Dye     float64        `json:"dye"`               // as a share of what the cloth takes, both sides together; 1.1 is usual
	Creases float64        `json:"creases,omitempty"` // share of the dye that is squeezed into the creases
	Bound   bool           `json:"bound,omitempty"`   // a binding at the end of each section of a rope
}

// DesignColour is a colour of a design: how it looks, or a dye and how much of it bonds.
type DesignColour struct {
	Name    string  `json:"name"`
	RGB     string  `json:"rgb,omitempty"`     // #rrggbb, of cloth that is full of it
	Dye     string  `json:"dye,omitempty"`     // Colour Index generic name
	Percent float64 `json:"percent,omitempty"` // of bonded dye on the weight of the cloth
}

// MaxSections says how many sections a side has at most.
const MaxSections = 16

// NoColour stands for a section that gets no dye.
const NoColour = -1

// maxName says how many letters a name has at most.
const maxName = 60

// Check returns a *fault.Fault of code Input that says what is wrong with the design.
func (d *Design) Check() error {
	if err := d.Fold.Check(); err != nil {
		return err
	}
	if _, err := NewGarment(d.Garment); err != nil {
		return err
	}
	if err := checkName("design", d.Name); err != nil {
		return err
	}
	switch n := len(d.Colours); {
	case n == 0 || n > maxColours:
		return fault.New(fault.Input, "a design cannot have %d colours", n).WithHint("1 to %d", maxColours)
	case len(d.A) == 0 || len(d.A) > MaxSections:
		return fault.New(fault.Input, "a side cannot have %d sections", len(d.A)).WithHint("1 to %d", MaxSections)
	case d.Fold.Kind != Rings && len(d.B) != len(d.A):
		return fault.New(fault.Input, "side A has %d sections and side B %d", len(d.A), len(d.B)).WithHint("use the same number on both")
	case d.Fold.Kind == Rings && len(d.B) != 0:
		return fault.New(fault.Input, "a rope has no side B: it is dyed from all round")
	case !(d.Dye >= 0 && d.Dye <= 2):
		return fault.New(fault.Input, "the dye amount, %g × what the cloth holds, is out of range", d.Dye).WithHint("0 to 2")
	case !(d.Creases >= 0 && d.Creases <= 1):
		return fault.New(fault.Input, "a share of %g into the creases is out of range", d.Creases).WithHint("0 to 1")
	case d.Shape != "" && !contains(d.Fold.Shapes(), d.Shape):
		return fault.New(fault.Input, "%q is not a shape of section for this fold", d.Shape).WithHint("%s", strings.Join(d.Fold.Shapes(), ", "))
	}
	for _, k := range append(append([]int(nil), d.A...), d.B...) {
		if k < NoColour || k >= len(d.Colours) {
			return fault.New(fault.Input, "a section has colour %d, but the design has only %d", k+1, len(d.Colours))
		}
	}
	for _, c := range d.Colours {
		if err := checkName("colour", c.Name); err != nil {
			return err
		}
		if _, err := c.FullColour(); err != nil {
			return err
		}
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// checkName refuses an empty or long name, and one with marks that cannot be seen.
func checkName(what, name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return fault.New(fault.Input, "the %s has no name", what)
	case len([]rune(name)) > maxName:
		return fault.New(fault.Input, "the name of the %s is too long", what).WithHint("at most %d letters", maxName)
	case strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return fault.New(fault.Input, "the name of the %s contains invisible characters", what)
	}
	return nil
}

// FullColour returns the colour of cloth that is full of it.
func (c DesignColour) FullColour() (Colour, error) {
	if c.Dye != "" {
		d, err := colour.Find(c.Dye)
		if err != nil {
			return Colour{}, err
		}
		if !(c.Percent >= 0.01 && c.Percent <= 20) {
			return Colour{}, fault.New(fault.Input, "%g %% of %s is out of range", c.Percent, c.Dye).WithHint("0.01 to 20 %%")
		}
		return Colour{c.Name, spectrumAt(d, c.Percent)}, nil
	}
	if c.RGB == "" {
		return NewColour(c.Name)
	}
	full, err := NewColour(c.RGB)
	full.Name = c.Name
	return full, err
}

// DyeApplication returns the steps of the design with the colours of its cloth, each side with half
// of the dye. factor is more or less dye than planned, 1 for as planned.
func (d *Design) DyeApplication(full []Colour, factor float64) *DyeApplication {
	out := &DyeApplication{Colours: full}
	rope := d.Fold.Kind == Rings
	for _, side := range []struct {
		side Side
		of   []int
	}{{SideA, d.A}, {SideB, d.B}} {
		fill := d.Dye * factor / 2
		if rope {
			fill = d.Dye * factor
		}
		for i, k := range side.of {
			if k != NoColour {
				area := BundleArea{Shape: d.SectionShape(), From: float64(i) / float64(len(side.of)), To: float64(i+1) / float64(len(side.of))}
				out.Steps = append(out.Steps, DyeStep{Area: area, Side: side.side, Section: i + 1, Colour: k, Fill: min(fill, 2), Crease: d.Creases})
			}
		}
	}
	if rope && d.Bound {
		out.Bindings = bandsAfter(len(d.A))
	}
	return out
}

// bandsAfter returns a binding at the end of each of n sections.
func bandsAfter(n int) (bands []Binding) {
	for i := 1; i <= n; i++ {
		at := float64(i) / float64(n)
		bands = append(bands, Binding{at - 0.012, at + 0.012})
	}
	return bands
}

// SectionShape returns the shape of the design's sections.
func (d *Design) SectionShape() string {
	if d.Shape != "" {
		return d.Shape
	}
	return d.Fold.Shapes()[0]
}

// FullColours returns the colours of cloth that is full of each.
func (d *Design) FullColours() (full []Colour, err error) {
	for _, c := range d.Colours {
		x, err := c.FullColour()
		if err != nil {
			return nil, err
		}
		full = append(full, x)
	}
	return full, nil
}

// Words names the design's fold and garment: "spiral, tee, large".
func (d *Design) Words() string {
	g, err := NewGarment(d.Garment)
	if err != nil {
		return d.Fold.Kind.Words()
	}
	return fmt.Sprintf("%s, %s", d.Fold.Kind.Words(), g.Words)
}
