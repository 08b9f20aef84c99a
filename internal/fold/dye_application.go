package fold

import (
	"strings"

	"coldbatch/internal/colour"
	"coldbatch/internal/fault"
)

// DyeApplication is what a dyer does to a bundle: colours, and steps with them.
type DyeApplication struct {
	Colours  []Colour
	Steps    []DyeStep
	Bindings []Binding // bindings of a rope that keep dye out
	Effect   float64   // what results taught: the cloth takes this many times less dye than assumed; 0 is 1
}

// effect is Effect with the usual one put in.
func (d *DyeApplication) effect() float64 {
	if d.Effect == 0 {
		return 1
	}
	return d.Effect
}

// Corrected returns the same volumes of dye on cloth that takes effect times less of it than assumed.
func (d *DyeApplication) Corrected(effect float64) *DyeApplication {
	out := d.Scaled(effect)
	out.Effect = d.effect() * effect
	return out
}

// Colour is a colour of a design: what cloth that is full of it looks like.
type Colour struct {
	Name         string
	FullSpectrum colour.Spectrum // K/S that it adds to white cotton where the cloth is full of it
}

// maxColours says how many colours a design may have.
const maxColours = 8

// NewColour reads a colour: a plain word such as "rust", "#b3433a", or a Colour Index
// name such as "red 2" at 1.5 % of bonded dye. Anything else is a *fault.Fault of code Input.
func NewColour(typed string) (Colour, error) {
	name := strings.TrimSpace(typed)
	if d, err := colour.Find(name); err == nil {
		return Colour{d.Name, spectrumAt(d, 1.5)}, nil
	}
	lab, ok := colour.LabOfWord(name)
	if !ok {
		var err error
		if lab, _, err = colour.Parse(name); err != nil {
			return Colour{}, fault.New(fault.Input, "%q is not a colour", typed).
				WithHint("a word such as rust, deep yellow, blue-green; #b3433a; or a name such as red 2")
		}
	}
	d, err := colour.FromSwatch(name, lab, 1)
	if err != nil {
		return Colour{}, err
	}
	return Colour{name, d.Absorption()}, nil
}

func spectrumAt(d *colour.Dye, percent float64) colour.Spectrum {
	s := d.Absorption()
	for i := range s {
		s[i] *= percent
	}
	return s
}

// NewDyeApplication shares the face of a fold out among colours, in equal sections of the
// shape that suits the fold, with dye on both sides: fill is the dye as a share of what
// the cloth takes, half of it from each side, and 1.1 is usual.
func NewDyeApplication(f Fold, colours []Colour, fill float64) (*DyeApplication, error) {
	if len(colours) == 0 || len(colours) > maxColours {
		return nil, fault.New(fault.Input, "a design cannot have %d colours", len(colours)).WithHint("1 to %d", maxColours)
	}
	d := &DyeApplication{Colours: colours}
	sides := []Side{SideA, SideB}
	if f.Kind == Rings {
		sides = sides[:1]
	}
	for _, side := range sides {
		for i := range colours {
			a := BundleArea{Shape: f.Shapes()[0], From: float64(i) / float64(len(colours)), To: float64(i+1) / float64(len(colours))}
			d.Steps = append(d.Steps, DyeStep{Area: a, Side: side, Section: i + 1, Colour: i, Fill: fill / float64(len(sides))})
		}
	}
	if f.Kind == Rings {
		d.Bindings = bandsAfter(len(colours))
	}
	return d, nil
}

// Shapes lists the shapes of section that suit a fold, the usual one first.
func (f Fold) Shapes() []string {
	switch f.Kind {
	case Spiral:
		return []string{"wedge", "ring", "spot"}
	case DoubleSpiral:
		return []string{"wedge", "ring"}
	case Crumple:
		return []string{"patch", "wedge", "spot"}
	case RadialPleats:
		return []string{"point", "ring"}
	case FoldedSquare, FoldedCorners:
		return []string{"frame", "stripe"}
	case Rings:
		return []string{"ring"}
	case Flat:
		return []string{"band", "stripe", "spot"}
	}
	return []string{"stripe", "band", "spot"}
}
