package alkali

import "coldbatch/internal/provenance"

// The cautions of soda ash. All defer to the safety data sheet of the product
// at hand and to local rules.
var (
	EyesCaution = provenance.Caution{Code: "eyes",
		Text:   "soda ash harms eyes, dry or dissolved: wear goggles and gloves; if it gets into an eye, rinse at once under running water for 15 minutes with the lids open, and get medical help; the product's safety data sheet comes first",
		Source: "CLP Regulation (EC) 1272/2008, Annex VI, sodium carbonate: H319, from memory; OECD SIDS, sodium carbonate, 2002; minutes of rinsing: common practice"}
	VesselCaution = provenance.Caution{Code: "vessel",
		Text:   "a plastic bucket, never aluminium and nothing that will hold food again; out of reach of children and animals, and never left open unwatched",
		Source: "common practice"}
	DrainCaution = provenance.Caution{Code: "drain",
		Text:   "a used soak goes down a drain to the sewer with plenty of water, never on the ground, into the street or into a storm drain; if you have a septic tank, ask first; local rules come first",
		Source: "City of Los Angeles, stormwater practices for textile work; otherwise common practice"}
	HotWaterCaution = provenance.Caution{Code: "hot-water",
		Text:   "water of 50 °C or more scalds, and hot soda solution burns: wear gloves, do not splash, and let it cool before you put in cloth or hands",
		Source: "common practice"}
	CausticCaution = provenance.Caution{Code: "caustic",
		Text:   "it may be caustic soda, which blinds and burns: stop, wear goggles and gloves, and do not use it; if it gets onto skin or into an eye, rinse at once with plenty of water and get medical help; the product's safety data sheet comes first",
		Source: "CLP Regulation (EC) 1272/2008, Annex VI, sodium hydroxide: H314, from memory; otherwise common practice"}
)
