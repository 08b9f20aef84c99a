package journal

import (
	"strings"

	"coldbatch/internal/fault"
)

// DesignKept is a design as package fold writes its code: the garment, the fold, and which
// colour goes where. Kept again, it is the design from then on.
type DesignKept struct {
	Name string `json:"name"`
	Code string `json:"code"`
}

func (b *DesignKept) check() error {
	return firstError(checkName("design", b.Name), checkDesignCode(b.Code))
}

// DesignTried describes how a piece of a design came out: the fold, the share of its cloth that
// stayed white as the dyer saw it, and how far the dye went as against the model (see
// fold.Map.Effect). Bag is the bag whose rating it comes from, if it comes from one; a later
// result of the same bag replaces it.
type DesignTried struct {
	Fold       string  `json:"fold"`
	WhiteShare float64 `json:"white_share"`
	Effect     float64 `json:"effect"`
	Bag        ID      `json:"bag,omitempty"`
	Note       string  `json:"note,omitempty"`
}

func (b *DesignTried) check() error {
	err := firstError(checkName("fold", b.Fold), checkRange("share that stayed white", b.WhiteShare, 0, 1), checkRange("effect", b.Effect, 0.1, 10))
	if err == nil && b.Bag != "" {
		err = b.Bag.Check("bag")
	}
	return err
}

// PieceDesigned is the design by which pieces are folded and dyed. It stands whole in the
// batch, so that a helper's phone has it. Fold is that of the label; Steps are the goes with
// a bottle for one piece, in order.
type PieceDesigned struct {
	Name  string       `json:"name"`
	Code  string       `json:"code"`
	Fold  string       `json:"fold"`
	Steps []DesignStep `json:"steps"`
}

// DesignStep is one go with a bottle: which section of which side of the bundle ("a", "b",
// or "" for all round), and mL of a colour.
type DesignStep struct {
	Side    string  `json:"side,omitempty"`
	Section int     `json:"section"`
	Colour  ID      `json:"colour"`
	ML      float64 `json:"ml"`
}

// maxDesignSteps says how many steps a design has at most: 16 sections on two sides.
const maxDesignSteps = 32

func (b *PieceDesigned) check() error {
	if len(b.Steps) > maxDesignSteps {
		return fault.New(fault.Input, "%d steps are too many for a design", len(b.Steps)).WithHint("at most %d", maxDesignSteps)
	}
	for _, s := range b.Steps {
		if err := firstError(checkSide(s.Side), checkRange("section", float64(s.Section), 1, 16),
			s.Colour.Check("colour"), checkRange("volume in mL", s.ML, 0, 1e5)); err != nil {
			return err
		}
	}
	return firstError(checkName("design", b.Name), checkName("fold", b.Fold), checkDesignCode(b.Code))
}

// checkDesignCode refuses what cannot be the code of a design. Package fold reads it.
func checkDesignCode(code string) error {
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
	if code == "" || len(code) > 2000 || strings.Trim(code, letters) != "" {
		return fault.New(fault.Input, "%q is not the code of a design", shorten(code))
	}
	return nil
}

func checkSide(side string) error {
	if side == "" || side == "a" || side == "b" {
		return nil
	}
	return fault.New(fault.Input, "%q is not a side of the bundle", shorten(side)).WithHint("a, b, or none for all round")
}
