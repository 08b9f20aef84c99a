package cure

import "coldbatch/internal/provenance"

// The cautions of bags that cure. All defer to the safety data sheet of the
// product at hand and to local rules.
var (
	NoShortCutCaution = provenance.Caution{Code: "no-short-cut",
		Text:   "never hurry a bag with a microwave, oven, iron or hot car: it bursts, dries out or catches fire, and the fumes get into food and lungs; a warm room is enough",
		Source: "common practice"}
	KeepAwayCaution = provenance.Caution{Code: "bags-away",
		Text:   "keep bags out of reach of children and animals, on a tray: what leaks stains and harms eyes; wear gloves and goggles to open them; if it gets into an eye, rinse at once with plenty of water and get medical help; the products' safety data sheets come first",
		Source: "OECD SIDS, sodium carbonate, 2002, for eyes; otherwise common practice"}
	HotDyeingCaution = provenance.Caution{Code: "hot-dyeing",
		Text:   "a bath of 80 °C scalds, and hot soda solution burns: use a steady pot that is never used for food again, wear gloves and goggles, and keep children and animals out of the room",
		Source: "common practice"}
	NeverTightCaution = provenance.Caution{Code: "never-tight",
		Text:   "never cap a bottle of dye with soda ash tightly: gas may build up until it spits or bursts; wear goggles and gloves",
		Source: "common practice"}
)
