package goods

import "coldbatch/internal/provenance"

// Fibre is what a cloth is made of.
type Fibre string

// The fibres.
const (
	Cotton        Fibre = "cotton"
	Flax          Fibre = "flax"
	Hemp          Fibre = "hemp"
	Jute          Fibre = "jute"
	Viscose       Fibre = "viscose"
	Cupro         Fibre = "cupro"
	Silk          Fibre = "silk"
	Wool          Fibre = "wool"
	Polyamide     Fibre = "polyamide"
	Polyester     Fibre = "polyester"
	Acrylic       Fibre = "acrylic"
	Polypropylene Fibre = "polypropylene"
	Acetate       Fibre = "acetate"
	Elastane      Fibre = "elastane"
)

// Affinity is what a fibre does in a soda-ash cure with reactive dye.
type Affinity string

// The affinities.
const (
	AffinityDyes           Affinity = "dyes"        // the dye bonds, as this program plans it
	AffinityNeedsOtherBath Affinity = "otherwise"   // takes the dye in another bath; soda ash harms the fibre
	AffinityStains         Affinity = "stains"      // a little, unevenly, not fast
	AffinityStaysWhite     Affinity = "stays-white" // does not take it
)

// FibreInfo is a fibre with its affinity and the words for both.
type FibreInfo struct {
	Fibre    Fibre             `json:"fibre"`
	Words    string            `json:"words"`
	Affinity Affinity          `json:"take"`
	Advice   string            `json:"means"` // one sentence
	Source   provenance.Source `json:"source"`
}

// Sources of the table below.
var (
	celluloseSource      = provenance.Source{Reliability: provenance.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, SDC 1995: fibres with cellulose hydroxyl groups"}
	animalFibreSource    = provenance.Source{Reliability: provenance.Published, Text: "Health and Safety Executive (UK), information sheet TIS5: reactive dyes are used on cotton, silk, wool and leather"}
	syntheticFibreSource = provenance.Source{Reliability: provenance.Memory, Text: "A. D. Broadbent, Basic Principles of Textile Coloration, SDC 2001"}
)

// What an affinity means for the dyer.
const (
	adviceDyes        = "takes the dye"
	adviceAnimalFibre = "takes reactive dye in another kind of bath, but soda ash harms it: do not soak it"
	adviceStaysWhite  = "does not take the dye; in a blend only the cellulose is coloured, so the piece looks paler and heathered"
)

// Fibres lists every fibre, those that take the dye first.
func Fibres() []FibreInfo {
	return []FibreInfo{
		{Cotton, "cotton", AffinityDyes, adviceDyes, celluloseSource},
		{Flax, "linen (flax)", AffinityDyes, adviceDyes, celluloseSource},
		{Hemp, "hemp", AffinityDyes, adviceDyes, celluloseSource},
		{Jute, "jute", AffinityDyes, adviceDyes + ", over its own brown", celluloseSource},
		{Viscose, "viscose, modal, lyocell", AffinityDyes, adviceDyes + ", often deeper than cotton; weak when wet, so wring it gently", celluloseSource},
		{Cupro, "cupro", AffinityDyes, adviceDyes, celluloseSource},
		{Silk, "silk", AffinityNeedsOtherBath, adviceAnimalFibre, animalFibreSource},
		{Wool, "wool", AffinityNeedsOtherBath, adviceAnimalFibre, animalFibreSource},
		{Polyamide, "polyamide", AffinityStains, "is only stained, unevenly, and the stain washes out", syntheticFibreSource},
		{Polyester, "polyester", AffinityStaysWhite, adviceStaysWhite, syntheticFibreSource},
		{Acrylic, "acrylic", AffinityStaysWhite, adviceStaysWhite, syntheticFibreSource},
		{Polypropylene, "polypropylene", AffinityStaysWhite, adviceStaysWhite, syntheticFibreSource},
		{Acetate, "acetate", AffinityStaysWhite, adviceStaysWhite, syntheticFibreSource},
		{Elastane, "elastane", AffinityStaysWhite, adviceStaysWhite, syntheticFibreSource},
	}
}

// Info returns the entry of f and whether there is one.
func (f Fibre) Info() (FibreInfo, bool) {
	for _, i := range Fibres() {
		if i.Fibre == f {
			return i, true
		}
	}
	return FibreInfo{}, false
}
