package calc

import (
	"math"

	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "keep", Order: 30,
	Title:   "Keeping mixed dye",
	Purpose: "Whether dye that was mixed some time ago is still good.",
	Formula: "With soda ash a model gives what is left: first-order hydrolysis by temperature and pH. At 90 % and more the dye is good, from 75 % use it soon, from 40 % it is weak, below that discard it. For a class without a known rate practice decides: use it within 1 h at 21 °C, discard it at 4. Without soda ash practice alone decides: at 21 °C good for 3 days, use it within 7, discard it at 14. The times of practice are longer where it is colder and shorter where it is warmer, by the law of Arrhenius with 75 kJ/mol.",
	Inputs: []Input{
		{Key: "class", Label: "Dye class", Type: TypeChoice, ShowInForm: true, Words: classWords(), Default: string(dye.Dichlorotriazine), Source: commonestClassSource},
		{Key: "age", Label: "Time since mixing", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindDuration}, Required: true, Example: "40 min", Min: 0, Max: 365 * 86400},
		{Key: "alkali", ShowInForm: true, Label: "Soda ash in it", Type: TypeChoice, Words: []Word{{"no", "no"}, {"yes", "yes"}}, Default: "no", Source: provenance.StartValueSource},
		{Key: "temperature", ShowInForm: true, Label: "Temperature", Help: "where it stood", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature},
			Default: "21 °C", Min: 0, Max: 60, Source: provenance.StartValueSource},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "State of the dye", Words: []Word{
			{string(cure.FreshnessGood), "good"},
			{string(cure.FreshnessUseSoon), "use it soon"},
			{string(cure.FreshnessWeak), "weak: it dyes paler; mix new dye"},
			{string(cure.FreshnessDiscard), "discard it"},
		}, Source: cure.WithSodaUseWithin.Source},
		{Key: "left", Label: "Left, a model", Help: "of the dye, not yet reacted with water; with soda ash only", Kind: unit.KindShare, ValueUnit: "%", Source: cure.ModelSource},
	},
	Cautions:  []provenance.Caution{cure.NeverTightCaution, dye.NotFoodCaution, dye.NoVinegarCaution, dye.NoBleachCaution, alkali.DrainCaution},
	Values:    cure.KeepingValues(),
	Sources:   []provenance.Source{cure.WithoutSodaUseWithin.Source, cure.NeutralWaterSource},
	Calculate: calculateKeep,
})

func calculateKeep(g *InputValues) (*Answer, error) {
	m := cure.MixedDye{Class: dye.Class(g.Word("class")), Alkali: g.Word("alkali") == "yes",
		Temperature: Get[unit.Temperature](g, "temperature"), Age: Get[unit.Duration](g, "age")}
	a := &Answer{}
	a.PutWord("verdict", string(m.Freshness()), "")
	if at21 := m.AgeAt21(); m.Remaining() == nil && math.Abs(float64(at21)-float64(m.Age)) > 0.02*float64(m.Age) {
		a.AddNote("at this temperature %s count as %s at 21 °C", unit.Show(unit.KindDuration, float64(m.Age), g.Style), unit.Show(unit.KindDuration, float64(at21), g.Style))
	}
	if m.Alkali {
		a.AddCaution(alkali.EyesCaution)
	} else {
		a.AddNote("without soda ash there is no figure: the chemistry allows days as well as years. A cold place keeps it longer")
	}
	if r := m.Remaining(); r != nil {
		PutRange(a, "left", r.Share, r.Low, r.High)
		a.AddSource(cure.RatesSource)
		a.AddNote("the model says: half of it reacts with water in %s", roughText(r.HalfLife, r.ShortestHalfLife, r.LongestHalfLife, g.Style))
	} else if m.Alkali {
		a.AddNote("the rate of this class is unknown: this is practice alone")
	}
	if m.Class == dye.Monochlorotriazine {
		a.AddNote("this class keeps longer than others, but it bonds only in a hot bath")
	}
	noteClass(g, a)
	return a, nil
}
