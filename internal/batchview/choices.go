package batchview

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
)

// Preset is an invented colour to start from: a plain name and how it looks. Its class and
// strength are the commonest; what the jar says comes first.
type Preset struct {
	Name     string  `json:"name"`
	RGB      string  `json:"rgb"`
	Class    string  `json:"class"`
	Strength string  `json:"strength"` // as typed
	GPerL    float64 `json:"gPerL"`
}

// Choices is what the screens offer to choose from.
type Choices struct {
	Kinds       []goods.KindInfo  `json:"kinds"`
	Fibres      []goods.FibreInfo `json:"fibres"`
	Folds       []FoldInfo        `json:"folds"`
	Classes     []dye.ClassInfo   `json:"classes"`
	Colours     []Preset          `json:"colours"`
	Strengths   []string          `json:"strengths"`
	RoomCelsius float64           `json:"room"`  // °C, assumed without a reading
	Night       float64           `json:"night"` // °C, where a usual night and
	Day         float64           `json:"day"`   // a usual day are asked for: only to start from
}

// The strengths that are offered, in grams of powder per finished litre (common
// practice): each colour has its own.
const (
	mildStrength   = "25 g/L"
	middleStrength = "40 g/L"
	strongStrength = "75 g/L"
)

// presetStrengths has the same three in g/L.
var presetStrengths = map[string]float64{mildStrength: 25, middleStrength: 40, strongStrength: 75}

// NewChoices returns the choices.
func NewChoices() Choices {
	c := Choices{Kinds: goods.Kinds(), Fibres: goods.Fibres(), Folds: Folds(), Classes: dye.Classes(),
		Strengths: []string{mildStrength, middleStrength, strongStrength}, RoomCelsius: AssumedTemperature.Value, Night: 12, Day: AssumedTemperature.Value}
	for _, p := range []struct{ name, rgb, strength string }{
		{"deep yellow", "#e9a21b", mildStrength}, {"lemon", "#f2d22e", mildStrength}, {"rust", "#b5372a", middleStrength}, {"orange", "#dd6b20", middleStrength},
		{"red", "#b3202c", middleStrength}, {"pink", "#c7446b", mildStrength}, {"violet", "#6b3f8c", middleStrength}, {"blue", "#1f4e9c", middleStrength},
		{"blue-green", "#17606b", middleStrength}, {"turquoise", "#1a93a6", middleStrength}, {"leaf green", "#3d6b35", middleStrength}, {"brown", "#6a4630", middleStrength},
		{"grey", "#6b6f78", mildStrength}, {"black", "#22242a", strongStrength},
	} {
		class := dye.Dichlorotriazine
		if p.name == "turquoise" {
			class = dye.VinylSulfone
		}
		c.Colours = append(c.Colours, Preset{p.name, p.rgb, string(class), p.strength, presetStrengths[p.strength]})
	}
	return c
}
