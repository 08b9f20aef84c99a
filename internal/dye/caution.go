package dye

import "coldbatch/internal/provenance"

// The cautions of handling dye. All defer to the safety data sheet of the
// product at hand and to local rules.
var (
	DustCaution = provenance.Caution{Code: "dust",
		Text:   "dye powder can make you allergic for life through the lungs: weigh it slowly in still air with gloves and a close-fitting dust mask (FFP3 or P100, at least FFP2 or N95), no fan, nobody else near; if you have asthma, let someone else handle the powder; the product's safety data sheet comes first",
		Source: "Health and Safety Executive (UK), Dyes and dyeing; NIOSH Hazard Controls 97-107; choice of mask: common practice"}
	NoPowderBackCaution = provenance.Caution{Code: "never-back",
		Text:   "never put powder into a bottle, where it puffs up, or back into the jar, which it spoils",
		Source: "common practice"}
	NoVinegarCaution = provenance.Caution{Code: "no-vinegar",
		Text:   "keep vinegar and other acids out of bottles, soak and bags: acid neutralises the soda ash, and the dye does not bond",
		Source: "common practice"}
	NotFoodCaution = provenance.Caution{Code: "not-food",
		Text:   "never use spoons, jugs or bottles that have held dye for food again; label them; keep food, children and animals away",
		Source: "National Society for Education in Art and Design (UK), dyes; otherwise common practice"}
	NoBleachCaution = provenance.Caution{Code: "no-bleach",
		Text:   "never use bleach on skin, spills or used dye, above all near urea or vinegar: it gives off harmful gas; wash skin with soap and water",
		Source: "National Society for Education in Art and Design (UK), dyes, for skin; otherwise common practice"}
)
