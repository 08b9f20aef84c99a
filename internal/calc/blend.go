package calc

import (
	"strings"

	"coldbatch/internal/colour"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "blend", Order: 22,
	Title:   "Look of a mixture",
	Purpose: "How white cotton looks, dry and wet, with a mixture of dyes, and whether the mixture turns muddy.",
	Formula: "Each dye that bonds adds absorption K/S to that of white cotton. Reflectance follows from K/S (Kubelka–Munk, one constant), and the colour from reflectance in daylight D65 for the 2° observer. Wet cloth scatters less, so it is darker.",
	Inputs: []Input{
		{Key: "dyes", Label: "Dyes and their depths", Help: "Colour Index names, or a swatch such as #b3433a; each with powder as % of the dry cloth", Type: TypeText, Required: true,
			Example: "yellow 86:2 %; blue 21:1 %"},
		bondsInput(),
	},
	Outputs: []Output{
		{Key: "colour", Label: "Dry", Words: colourWords(), Source: colour.DyeDataSource},
		{Key: "wet", Label: "Wet", Words: colourWords(), Source: colour.DyeDataSource},
		{Key: "lightness", Label: "Lightness L*", Help: "0 is black, 100 white", Kind: unit.KindNumber, Source: colour.ObserverSource},
		{Key: "a", Label: "a*", Help: "green below 0, red above", Kind: unit.KindNumber, Source: colour.ObserverSource},
		{Key: "b", Label: "b*", Help: "blue below 0, yellow above", Kind: unit.KindNumber, Source: colour.ObserverSource},
		{Key: "duller", Label: "Duller than its parts by", Help: "chroma lost", Kind: unit.KindShare, ValueUnit: "%", Source: colour.KubelkaMunkSource},
		{Key: "verdict", Label: "Mixture", Words: []Word{{"clear", "stays clear"}, {"muddy", "turns muddy"}}, Source: colour.MinMuddyChromaLost.Source},
	},
	Cautions:      []provenance.Caution{dye.DustCaution, dye.NotFoodCaution},
	Values:        colour.ClothValues(),
	Sources:       []provenance.Source{colour.ObserverSource, colour.KubelkaMunkSource, colour.DyeDataSource, colour.SRGBSource},
	ExampleInputs: "dyes='yellow 86:2 %; blue 21:1 %'",
	Calculate:     calculateBlend,
})

// bondsInput is the input for the share of the dye that bonds.
func bondsInput() Input {
	return Input{Key: "bonds", Label: "Dye that bonds", Help: "the rest washes out", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
		Default: unit.Show(unit.KindShare, liquor.BondedShare.Value, unit.Style{}), Min: 0.1, Max: 1, Source: liquor.BondedShare.Source}
}

func colourWords() (words []Word) {
	for _, w := range colour.Words() {
		words = append(words, Word{w, w})
	}
	return words
}

func calculateBlend(g *InputValues) (*Answer, error) {
	a := &Answer{}
	bonds := float64(Get[unit.Share](g, "bonds"))
	var loads []colour.DyeAmount
	var parts []colour.Lab
	var shares []float64
	for item := range strings.SplitSeq(g.Text("dyes"), ";") {
		if strings.TrimSpace(item) == "" {
			continue
		}
		name, depth, _ := strings.Cut(item, ":")
		d, err := colour.ParseDye(name)
		if err != nil {
			return nil, fault.AsFault(err).At("dyes", g.Text("dyes"))
		}
		share, err := unit.ParseAs[unit.Share](unit.KindShare, depth)
		if err != nil || !(share >= 0.0001 && share <= 0.2) {
			return nil, g.Refuse("dyes", "%q is not a depth of %s", strings.TrimSpace(depth), d.Name).WithHint("0.01 %% to 20 %% of the dry cloth, as in %q", "red 2:1.5 %")
		}
		l := colour.DyeAmount{Dye: d, BondedPercent: float64(share) * 100 * bonds}
		loads = append(loads, l)
		parts = append(parts, colour.DryAppearance(colour.AbsorptionOf(l)).Lab)
		shares = append(shares, float64(share))
	}
	if len(loads) == 0 || len(loads) > 8 {
		return nil, g.Refuse("dyes", "%d dyes cannot be used at once", len(loads)).WithHint("1 to 8, separated by semicolons")
	}
	ks := colour.AbsorptionOf(loads...)
	dry, wet := colour.DryAppearance(ks), colour.WetAppearance(ks)
	putLook(a, "colour", dry)
	putLook(a, "wet", wet)
	Put(a, "lightness", unit.Number(dry.Lab.L))
	Put(a, "a", unit.Number(dry.Lab.A))
	Put(a, "b", unit.Number(dry.Lab.B))
	if len(loads) > 1 {
		Put(a, "duller", unit.Share(colour.ChromaLost(dry.Lab, parts, shares)))
		a.PutWord("verdict", "clear", "")
		if colour.IsMuddy(dry.Lab, parts, shares) {
			a.PutWord("verdict", "muddy", "")
			a.AddNote("colours from opposite sides of the wheel cancel: use less of the weaker one, or a dye between them")
		}
	}
	if !dry.InGamut {
		a.AddNote("the cloth is brighter than a screen can show")
	}
	a.AddNote("a model with indicative dye data: dye a strip of the same cloth before a whole batch")
	return a, nil
}

// putLook sets the output key to the word for a colour, with its screen value as text.
func putLook(a *Answer, key string, l colour.Appearance) {
	a.PutWord(key, l.Word, "")
	a.SetText(key, "%s, #%02x%02x%02x", l.Word, l.RGB[0], l.RGB[1], l.RGB[2])
}
