package fold

// Starters are designs to start from: our own, with invented names.
func Starters() []Design {
	list := append([]Design(nil), starters...)
	for i := range list {
		if list[i].B == nil {
			list[i].B = []int{} // in JSON a list, also where it is empty
		}
	}
	return list
}

var (
	rust   = DesignColour{Name: "rust", RGB: "#b5372a"}
	gold   = DesignColour{Name: "deep yellow", RGB: "#e9a21b"}
	lemon  = DesignColour{Name: "lemon", RGB: "#f2d22e"}
	teal   = DesignColour{Name: "blue-green", RGB: "#17606b"}
	sea    = DesignColour{Name: "turquoise", RGB: "#1a93a6"}
	blue   = DesignColour{Name: "blue", RGB: "#1f4e9c"}
	violet = DesignColour{Name: "violet", RGB: "#6b3f8c"}
	pink   = DesignColour{Name: "pink", RGB: "#c7446b"}
	orange = DesignColour{Name: "orange", RGB: "#dd6b20"}
	leaf   = DesignColour{Name: "leaf green", RGB: "#3d6b35"}
	brown  = DesignColour{Name: "brown", RGB: "#6a4630"}
)

// none marks a section of a starter that gets no dye.
const none = NoColour

var starters = []Design{
	{Name: "Snail shell", Garment: "tee-l", Fold: Fold{Kind: Spiral, Seed: 3}, Dye: 1.1,
		Colours: []DesignColour{rust, gold, teal}, A: []int{0, 1, 2}, B: []int{0, 1, 2}},
	{Name: "Whirlpool", Garment: "tee-m", Fold: Fold{Kind: Spiral, Seed: 8, Turns: 2, Center: Point{0, -0.12}}, Dye: 1,
		Colours: []DesignColour{blue, sea}, A: []int{0, 1, 0, none, 0, 1}, B: []int{0, 1, 0, none, 0, 1}},
	{Name: "Two eddies", Garment: "tee-l", Fold: Fold{Kind: DoubleSpiral, Seed: 2, Turns: 2}, Dye: 1.1,
		Colours: []DesignColour{violet, pink, gold}, A: []int{0, 1, 2}, B: []int{0, 1, 2}},
	{Name: "Pond rings", Garment: "square-60", Fold: Fold{Kind: Rings, Seed: 5}, Dye: 0.78, Bound: true,
		Colours: []DesignColour{blue, sea, teal}, A: []int{0, 1, 0, 2, 0}},
	{Name: "Sunrise", Garment: "tee-m", Fold: Fold{Kind: Rings, Seed: 4, Center: Point{0, -0.05}}, Dye: 0.9, Bound: true,
		Colours: []DesignColour{lemon, orange, rust}, A: []int{0, 1, 2, 1}},
	{Name: "Ploughed field", Garment: "tea-towel", Fold: Fold{Kind: Accordion, Seed: 6, Pleats: 9}, Dye: 0.9,
		Colours: []DesignColour{brown, leaf}, A: []int{0, none, 1}, B: []int{0, none, 1}},
	{Name: "Slanting rain", Garment: "scarf", Fold: Fold{Kind: Diagonal, Seed: 7, Pleats: 12}, Dye: 0.8,
		Colours: []DesignColour{blue}, A: []int{0, none, none}, B: []int{0, none, none}},
	{Name: "Daisy", Garment: "square-60", Fold: Fold{Kind: RadialPleats, Seed: 9, Pleats: 8}, Dye: 1.05,
		Colours: []DesignColour{gold, pink, violet}, A: []int{0, none, 1, 2}, B: []int{0, none, 1, 2}},
	{Name: "Window panes", Garment: "pillowcase", Fold: Fold{Kind: FoldedSquare, Seed: 3, Pleats: 4}, Dye: 0.95,
		Colours: []DesignColour{teal}, A: []int{0, none, none, 0}, B: []int{0, none, none, 0}},
	{Name: "Paper kites", Garment: "square-70", Fold: Fold{Kind: FoldedCorners, Seed: 4, Pleats: 5}, Dye: 0.9,
		Colours: []DesignColour{blue, sea}, A: []int{0, none, 1}, B: []int{0, none, 1}},
	{Name: "Dry leaves", Garment: "tee-xl", Fold: Fold{Kind: Crumple, Seed: 5}, Dye: 0.85,
		Colours: []DesignColour{rust, gold, brown}, A: []int{0, 1, 2, 0, 1}, B: []int{1, 2, 0, 1, 0}},
	{Name: "Storm sky", Garment: "tee-l", Fold: Fold{Kind: Crumple, Seed: 11}, Dye: 0.65,
		Colours: []DesignColour{blue, violet}, A: []int{0, 1, 0}, B: []int{0, 0, 1}},
}
