package journal

// PieceTaken says that the phone that wrote it has taken count of the pieces to dye them now.
type PieceTaken struct {
	Count int `json:"count"`
}

func (b *PieceTaken) check() error {
	return checkRange("count", float64(b.Count), 1, MaxPieces)
}

// SoakDissolved says whether the soda ash is dissolved: the bath is clear and nothing lies at the bottom.
type SoakDissolved struct {
	IsClear bool `json:"clear"`
}

func (b *SoakDissolved) check() error { return nil }

// JugTopped is what was added to a jug: powder in grams, and dye or water in mL.
type JugTopped struct {
	PowderGrams float64 `json:"powder"`
	AddedML     float64 `json:"ml"`
	TypedTexts
}

func (b *JugTopped) check() error {
	return firstError(checkRange("powder in grams", b.PowderGrams, 0, 1e4), checkRange("volume in mL", b.AddedML, 0, 1e5))
}
