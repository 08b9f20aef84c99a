package alkali

import "coldbatch/internal/fault"

// The cautions of soda ash. All defer to the safety data sheet of the product
// at hand and to local rules.
var (
	EyesCaution = fault.Caution{Code: "eyes",
		Text:   "soda ash harms eyes, dry and dissolved: goggles and gloves; in the eye, rinse at once under running water for 15 minutes, lids open, and get medical help; the product's safety data sheet goes first",
		Source: "CLP Regulation (EC) 1272/2008, Annex VI, sodium carbonate: H319, from memory; OECD SIDS, sodium carbonate, 2002; minutes of rinsing: common practice"}
	VesselCaution = fault.Caution{Code: "vessel",
		Text:   "a plastic bucket, never aluminium and nothing that will hold food again; out of reach of children and animals, and never left open unwatched",
		Source: "common practice"}
	DrainCaution = fault.Caution{Code: "drain",
		Text:   "a used soak goes down a drain to the sewer with plenty of water, never on the ground, into the street or a storm drain; with a septic tank ask first; local rules go first",
		Source: "City of Los Angeles, stormwater practices for textile work; otherwise common practice"}
	HotWaterCaution = fault.Caution{Code: "hot-water",
		Text:   "water of 50 °C and more scalds, and hot soda solution burns: gloves, no splashing, let it cool before goods and hands go in",
		Source: "common practice"}
	CausticCaution = fault.Caution{Code: "caustic",
		Text:   "it may be caustic soda, which blinds and burns: stop, goggles and gloves, do not use it; on skin or in the eye rinse at once with much water and get medical help; the product's safety data sheet goes first",
		Source: "CLP Regulation (EC) 1272/2008, Annex VI, sodium hydroxide: H314, from memory; otherwise common practice"}
)
