// Package fold predicts how a folded, bound and dyed piece looks opened out: which
// colours lie where, where white stays inside the folds, and how much dye each section
// takes. Call NewGarment and a Fold's Map, which say for every point of the cloth
// where it lies in the bundle; then Map.ApplyDye, which puts dye on the bundle; then
// DyedCloth.Picture and DyedCloth.Report.
//
// It is a model, not a measurement: dye goes straight down into the bundle as far as
// the cloth holds it, spreads sideways a little, and that is all. It knows nothing of
// how tightly a rubber band was pulled. Diffusion in folded cloth has been simulated by
// Y. Morimoto and K. Ono (2012) and Morimoto et al. (Pacific Graphics 2007); here a
// picture must follow a thumb, so the law is simpler.
package fold

import (
	"math"
	"strings"

	"coldbatch/internal/fault"
)

// Kind names a way of folding.
type Kind string

// The folds.
const (
	Flat          Kind = "flat"
	Accordion     Kind = "accordion"
	Diagonal      Kind = "diagonal"
	Rings         Kind = "rings"
	Spiral        Kind = "spiral"
	DoubleSpiral  Kind = "double-spiral"
	RadialPleats  Kind = "radial-pleats"
	FoldedSquare  Kind = "folded-square"
	FoldedCorners Kind = "folded-triangle"
	Crumple       Kind = "crumple"
)

// Kinds lists every fold, the simplest first.
var Kinds = []Kind{Flat, Accordion, Diagonal, Rings, Spiral, DoubleSpiral, RadialPleats, FoldedSquare, FoldedCorners, Crumple}

// Words names the fold for a screen.
func (k Kind) Words() string {
	switch k {
	case Accordion:
		return "accordion pleats"
	case Diagonal:
		return "diagonal pleats"
	case FoldedCorners:
		return "folded triangle"
	}
	return strings.ReplaceAll(string(k), "-", " ")
}

// Fold is a way of folding with its measures. The zero value of a measure stands for
// the usual one.
type Fold struct {
	Kind   Kind    `json:"kind"`
	Center Point   `json:"center"`           // of spiral, rings and radial pleats: share of the garment's width and height from its middle, −0.5 to 0.5
	Turns  float64 `json:"turns,omitempty"`  // of a spiral, 0.25 to 4; usually 1.5
	Pleats int     `json:"pleats,omitempty"` // of accordions and folded squares 2 to 40, of radial pleats 2 to 24
	Seed   uint32  `json:"seed,omitempty"`   // of the small irregularities, and of a crumple
}

// Check returns a *fault.Fault of code Input that names the first measure out of range.
func (f Fold) Check() error {
	known := false
	var names []string
	for _, k := range Kinds {
		known = known || k == f.Kind
		names = append(names, string(k))
	}
	switch {
	case !known:
		return fault.New(fault.Input, "%q is not a fold", string(f.Kind)).WithHint("%s", strings.Join(names, ", "))
	case !(math.Abs(f.Center.X) <= 0.5 && math.Abs(f.Center.Y) <= 0.5):
		return fault.New(fault.Input, "the centre %g, %g is outside the cloth", f.Center.X, f.Center.Y).
			WithHint("share of width and height from the middle, −0.5 to 0.5")
	case f.Turns != 0 && !(f.Turns >= 0.25 && f.Turns <= 4):
		return fault.New(fault.Input, "%g turns are out of range", f.Turns).WithHint("0.25 to 4")
	case f.Pleats != 0 && (f.Pleats < 2 || f.Pleats > f.maxPleats()):
		return fault.New(fault.Input, "%d pleats are out of range", f.Pleats).WithHint("2 to %d", f.maxPleats())
	}
	return nil
}

func (f Fold) maxPleats() int {
	if f.Kind == RadialPleats {
		return 24
	}
	return 40
}

// UsualPleats returns the usual number of pleats of the fold and the largest, 0 for a fold
// that has none.
func (f Fold) UsualPleats() (usual, most int) {
	switch f.Kind {
	case Accordion, Diagonal, RadialPleats, FoldedSquare, FoldedCorners:
		return Fold{Kind: f.Kind}.pleats(), f.maxPleats()
	}
	return 0, 0
}

// turns and pleats return the measures, with the usual value in place of 0.
func (f Fold) turns() float64 {
	if f.Turns == 0 {
		return 1.5
	}
	return f.Turns
}

func (f Fold) pleats() int {
	switch {
	case f.Pleats != 0:
		return f.Pleats
	case f.Kind == RadialPleats:
		return 8
	case f.Kind == FoldedSquare, f.Kind == FoldedCorners:
		return 5
	}
	return 10
}

// layerThickness is the thickness of one layer in the bundle, packingShare the share of the bundle's
// volume that cloth fills: a jersey of about 1 mm, wet and bound (judgement).
const (
	layerThickness = 0.1 // cm
	packingShare   = 0.5
	discHeight     = 4 // cm: of a spiral's disc as it lies on the table
)

// bundlePoint is where a point of the cloth lies in the bundle: u and v on its face in cm,
// and t, the share of cloth above it, from 0 at side A to 1 at side B.
type bundlePoint struct{ u, v, t float64 }

// bundleShape is the face of a bundle: u from 0 to width and v from 0 to height, in cm; a
// disc or a wedge has its centre at (width/2, height/2). isRope is a rope that dye
// reaches from all round: v is the way around it and t the depth from its skin.
type bundleShape struct {
	width, height float64
	isDisc        bool
	isRope        bool
}

// foldMap returns the bundle's shape and the map from cloth to bundle of one fold. layer
// is 0 for the front and 1 for the back.
type foldMap func(x, y float64, layer int) bundlePoint

// fold builds the map of f for a garment.
func (f Fold) fold(g Garment) (bundleShape, foldMap) {
	low, high := g.bounds()
	w, h := high.X-low.X, high.Y-low.Y
	c := Point{(low.X+high.X)/2 + f.Center.X*w, (low.Y+high.Y)/2 + f.Center.Y*h}
	n := noise{f.Seed*2654435761 + 1}
	switch f.Kind {
	case Accordion:
		return f.accordion(g, 0, 1, n)
	case Diagonal:
		return f.accordion(g, math.Sqrt2/2, math.Sqrt2/2, n)
	case Rings:
		return f.rings(g, c, n)
	case Spiral:
		return f.spiral(g, c, n)
	case DoubleSpiral:
		return f.doubleSpiral(g, c, n)
	case RadialPleats:
		return f.radial(g, c, n)
	case FoldedSquare, FoldedCorners:
		return f.folded(g, n)
	case Crumple:
		return f.crumple(g, n)
	}
	return bundleShape{width: w, height: h}, func(x, y float64, layer int) bundlePoint {
		return bundlePoint{x - low.X, y - low.Y, layerDepth(layer, g.Layers) + 0.5/fineDepths}
	}
}

// layerDepth puts a layer of a flat piece at its depth.
func layerDepth(layer, layers int) float64 { return (float64(layer) + 0.5) / float64(layers) }
