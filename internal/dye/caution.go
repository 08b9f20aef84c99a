package dye

import "coldbatch/internal/fault"

// The cautions of handling dye. All defer to the safety data sheet of the
// product at hand and to local rules.
var (
	DustCaution = fault.Caution{Code: "dust",
		Text:   "dye powder can make you allergic for life through the lungs: weigh it slowly in still air with gloves and a close-fitting dust mask (FFP3 or P100, at least FFP2 or N95), no fan, nobody else near; with asthma leave powder to others; the product's safety data sheet goes first",
		Source: "Health and Safety Executive (UK), Dyes and dyeing; NIOSH Hazard Controls 97-107; choice of mask: common practice"}
	NoPowderBackCaution = fault.Caution{Code: "never-back",
		Text:   "never put powder into a bottle, and never back into the jar: one puffs up, the other spoils the jar",
		Source: "common practice"}
	NoVinegarCaution = fault.Caution{Code: "no-vinegar",
		Text:   "no vinegar or other acid in bottles, soak or bag: it undoes the soda ash and the dye does not bond",
		Source: "common practice"}
	NotFoodCaution = fault.Caution{Code: "not-food",
		Text:   "spoons, jugs and bottles that have held dye are never used for food again; label them; keep food, children and animals away",
		Source: "National Society for Education in Art and Design (UK), dyes; otherwise common practice"}
	NoBleachCaution = fault.Caution{Code: "no-bleach",
		Text:   "no bleach on skin, spills or used dye, above all with urea or vinegar about: it gives off harmful gas; wash skin with soap and water",
		Source: "National Society for Education in Art and Design (UK), dyes, for skin; otherwise common practice"}
)
