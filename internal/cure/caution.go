package cure

import "coldbatch/internal/fault"

// The cautions of bags that cure. All defer to the safety data sheet of the
// product at hand and to local rules.
var (
	NoShortCutCaution = fault.Caution{Code: "no-short-cut",
		Text:   "no microwave, oven, iron or parked car to hurry a bag: it bursts, dries out or catches fire, and what it gives off gets into food and lungs; a warm room is enough",
		Source: "common practice"}
	KeepAwayCaution = fault.Caution{Code: "bags-away",
		Text:   "keep bags out of reach of children and animals, on a tray: what leaks stains and harms eyes; open them with gloves and goggles; in the eye, rinse at once with plenty of water and get medical help; the products' safety data sheets go first",
		Source: "OECD SIDS, sodium carbonate, 2002, for eyes; otherwise common practice"}
	HotDyeingCaution = fault.Caution{Code: "hot-dyeing",
		Text:   "a bath of 80 °C scalds, and hot soda solution burns: a pot that stands firmly and never holds food again, gloves and goggles, children and animals out of the room",
		Source: "common practice"}
	NeverTightCaution = fault.Caution{Code: "never-tight",
		Text:   "a bottle with soda ash and dye in it is never capped tight: gas may press on it until it spits or bursts; goggles and gloves",
		Source: "common practice"}
)
