package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "keep", Order: 30,
	Title:   "Keeping mixed dye",
	Purpose: "Whether dye that was mixed some time ago is still good.",
	Formula: "With soda ash: use within an hour, discard at four; above 21 °C these hours shrink by the law of Arrhenius with 75 kJ/mol. What is left is a model beside that: first-order hydrolysis by temperature and pH. Without soda ash practice alone speaks: good for 3 days, to be used within 7, discarded at 14.",
	Inputs: []Input{
		{Key: "class", Label: "Dye class", Type: Choice, Words: classes(), Required: true, Example: string(dye.Dichlorotriazine)},
		{Key: "age", Label: "Mixed how long ago", Type: Quantity, Kinds: []unit.Kind{unit.KindDuration}, Required: true, Example: "40 min", Min: 0, Max: 365 * 86400},
		{Key: "alkali", Ask: true, Label: "Soda ash in it", Type: Choice, Words: []Word{{"no", "no"}, {"yes", "yes"}}, Default: "no", Source: fault.CommonPractice},
		{Key: "temperature", Ask: true, Label: "Temperature", Help: "where it stood", Type: Quantity, Kinds: []unit.Kind{unit.KindTemperature},
			Default: "21 °C", Min: 0, Max: 60, Source: fault.CommonPractice},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "How it stands", Words: []Word{
			{string(cure.Good), "good"},
			{string(cure.UseSoon), "use it soon"},
			{string(cure.Weak), "weak: paler, or mix anew"},
			{string(cure.Discard), "discard it"},
		}, Source: cure.SodaUse.Source},
		{Key: "left", Label: "Left, a model", Help: "of the dye, not yet reacted with water; with soda ash only", Kind: unit.KindShare, In: "%", Source: cure.Modelled},
	},
	Cautions: []fault.Caution{cure.NeverTight, dye.NotFood, dye.NoVinegar, dye.NoBleach, alkali.Drain},
	Values:   cure.KeepConstants(),
	Sources:  []fault.Source{cure.PlainUse.Source, cure.StaysNeutral},
	Sum:      sumKeep,
})

func sumKeep(g *Given) (*Answer, error) {
	m := cure.Mixed{Class: dye.Class(g.Word("class")), Alkali: g.Word("alkali") == "yes",
		At: Get[unit.Temperature](g, "temperature"), Age: Get[unit.Duration](g, "age")}
	a := &Answer{}
	a.PutWord("verdict", string(m.Freshness()), "")
	if m.Alkali {
		a.Caution(alkali.Eyes)
	} else {
		a.Note("no figure can be told without soda ash: the chemistry allows days as well as years; a cold place keeps it longer, by how much nobody has measured")
	}
	if r := m.Remains(); r != nil {
		PutRange(a, "left", r.Left, r.Low, r.High)
		a.Cite(cure.ModelSource)
		a.Note("half of it reacts with water in %s, by a model", roughly(r.Half, r.Fastest, r.Slow, g.Style))
	} else if m.Alkali {
		a.Note("no rate of this class is known: practice alone speaks")
	}
	if m.Class == dye.Monochlorotriazine {
		a.Note("this class keeps longer than practice allows, but bonds only in a hot bath")
	}
	return a, nil
}
