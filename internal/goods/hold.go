package goods

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// What cotton holds after handling, as a share of its dry weight. One gram of
// soak or dye is taken as one millilitre. At 50 g/L of soda ash that is 5 % too little,
// far less than wringing varies.
var (
	// HeldAfterWringing is what hand-wringing leaves.
	HeldAfterWringing = provenance.Value{Name: "held after wringing by hand", Value: 1.10, Unit: "1", Low: 1.00, High: 1.50,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: trade figures from memory have hand-wrung jersey at 100–150 %"}}
	// HeldAfterSpinning is what a household spin leaves.
	HeldAfterSpinning = provenance.Value{Name: "held after a machine spin", Value: 0.60, Unit: "1", Low: 0.45, High: 0.65,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: trade figures from memory have a household spin of 1000–1400 rpm at 45–65 %"}}
	// HeldWhenFull is what a piece holds before a puddle forms in its bag.
	HeldWhenFull = provenance.Value{Name: "held when full", Value: 2.20, Unit: "1", Low: 1.80, High: 2.60,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: trade figures from memory have drip-wet knit at 200–300 %"}}
)

// MinHeldAfterSpinning is the least water that the strongest spin leaves in cotton; a smaller input
// is a typing error.
var MinHeldAfterSpinning = provenance.Value{Name: "least held after spinning", Value: 0.30, Unit: "1", Low: 0.30, High: 0.40,
	Source: provenance.Source{Reliability: provenance.Published, Text: "M. J. Denton, J. Text. Inst. 65 (1974) 409–415: 30–40 % of oven-dry weight"}}

// LiquidHeld returns the liquid in goods of dry mass m that hold a share of their dry
// weight, at one millilitre per gram.
func LiquidHeld(m unit.Mass, share unit.Share) unit.Volume {
	return unit.Volume(float64(m) * float64(share))
}
