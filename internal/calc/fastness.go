package calc

import (
	"math"

	"coldbatch/internal/colour"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "fastness", Order: 80,
	Title:   "Fastness to washing",
	Purpose: "How much a colour changed in the wash, and how much it stained a white rag washed with it, as grades of the grey scales: 5 is no change, 1 is the worst.",
	Formula: "Colours are compared in CIELAB: by CIEDE2000, by ISO 105-A05 for change, and by ISO 105-A04 for staining.",
	Inputs: []Input{
		{Key: "before", ShowInForm: true, Label: "Colour before", Help: "lab L* a* b* from a colour meter, or #rrggbb from a photo", Type: TypeText, Example: "lab 42 48 22"},
		{Key: "after", ShowInForm: true, Label: "Colour after", Type: TypeText, Example: "lab 45 44 20"},
		{Key: "white_before", ShowInForm: true, Label: "White rag before", Type: TypeText, Example: "lab 94 0 2"},
		{Key: "white_after", ShowInForm: true, Label: "White rag after", Type: TypeText, Example: "lab 90 4 3"},
	},
	Outputs: []Output{
		{Key: "de2000", Label: "Difference", Help: "CIEDE2000", Kind: unit.KindNumber, Source: colour.CIEDE2000Source},
		{Key: "change", Label: "Change in colour", Kind: unit.KindNumber, Source: colour.DifferencePerGrade.Source},
		{Key: "staining", Label: "Staining of white", Kind: unit.KindNumber, Source: colour.StainRatingAt1.Source},
	},
	Cautions:      []provenance.Caution{dye.NoBleachCaution},
	Values:        colour.Values(),
	Sources:       []provenance.Source{colour.SRGBSource},
	ExampleInputs: "before='lab 42 48 22' after='lab 45 44 20'",
	Calculate:     calculateFastness,
})

func calculateFastness(g *InputValues) (*Answer, error) {
	a := &Answer{}
	before, after, rough, err := readColours(g, "before", "after")
	if err != nil {
		return nil, err
	}
	if g.Has("before") {
		d := colour.Difference(before, after)
		Put(a, "de2000", unit.Number(d))
		if rough {
			a.SetText("de2000", "rough: %s", unit.Show(unit.KindNumber, d, g.Style))
		}
		putRating(g, a, "change", colour.RateColourChange(before, after), rough)
	}
	white, stained, photo, err := readColours(g, "white_before", "white_after")
	switch {
	case err != nil:
		return nil, err
	case g.Has("white_before") && colour.IsWhiter(white, stained):
		return nil, g.Refuse("white_after", "%q is whiter than %q: no dye went onto the rag", g.Text("white_after"), g.Text("white_before")).
			WithHint("check that the two are not swapped; a brightener in the detergent does this too")
	case g.Has("white_before"):
		putRating(g, a, "staining", colour.RateStaining(white, stained), photo)
	case !g.Has("before"):
		return nil, g.Missing("before", "no colours are given: before and after, or white_before and white_after")
	}
	if rough || photo {
		a.AddNote("rough: a photo or screen is no colour meter; put both in one picture, in daylight and out of the sun")
	}
	return a, nil
}

// readColours parses two colours that belong together; rough is true where one is from a
// photo. One without the other is a Missing fault.
func readColours(g *InputValues, first, second string) (p, q colour.Lab, rough bool, err error) {
	if g.Has(first) != g.Has(second) {
		if g.Has(first) {
			first, second = second, first
		}
		return p, q, false, g.Missing(first, "%s is given without %s", second, first)
	}
	if !g.Has(first) {
		return p, q, false, nil
	}
	p, one, err := colour.Parse(g.Text(first))
	if err != nil {
		return p, q, false, fault.AsFault(err).At(first, g.Text(first))
	}
	q, two, err := colour.Parse(g.Text(second))
	if err != nil {
		return p, q, false, fault.AsFault(err).At(second, g.Text(second))
	}
	return p, q, one || two, nil
}

// putRating sets the output key to a rating, rounded to a tenth as in the standards, with
// its grade as text.
func putRating(g *InputValues, a *Answer, key string, r colour.GreyScaleRating, rough bool) {
	tenth := math.Round(float64(r)*10) / 10
	Put(a, key, unit.Number(tenth))
	word := "grade"
	if rough {
		word = "rough: grade"
	}
	a.SetText(key, "%s %s (%s)", word, r.Grade(), unit.Show(unit.KindNumber, tenth, g.Style))
}
