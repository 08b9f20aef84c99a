package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/provenance"
	"coldbatch/internal/scour"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "scour", Order: 6,
	Title:   "Pre-wash",
	Purpose: "Soda ash, detergent, water, heat and time that take wax and finish out of cotton, by its weight.",
	Formula: "Soda ash and detergent are a share of the dry weight, by the state of the cloth; water is weight of cloth × water per weight. The cloth maker's instructions come first.",
	Inputs: []Input{
		{Key: "goods", Label: "Cloth", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Required: true, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "state", ShowInForm: true, Label: "The cloth is", Type: TypeChoice, Words: scourStates(), Default: string(scour.StateBought), Source: provenance.StartValueSource},
		{Key: "ratio", Label: "Water", Help: "by the weight of the cloth", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindSpecificVolume}, Default: "20 L/kg", Min: 3, Max: 100,
			Presets: []string{"10 L/kg", "20 L/kg", "30 L/kg"}, Source: scour.LiquorRatio.Source},
	},
	Outputs: []Output{
		{Key: "soda_ash", Label: "Soda ash", Kind: unit.KindMass, Source: scour.StateRaw.Recipe().Soda.Source},
		{Key: "detergent", Label: "Detergent", Help: "without bleach, softener or whitener", Kind: unit.KindMass, Source: scour.StateRaw.Recipe().Detergent.Source},
		{Key: "water", Label: "Water", Kind: unit.KindVolume, Source: proportionSource},
		{Key: "temperature", Label: "Temperature", Kind: unit.KindTemperature, Source: scour.StateRaw.Recipe().Temperature.Source},
		{Key: "minutes", Label: "Time", Kind: unit.KindDuration, ValueUnit: "min", Source: scour.StateRaw.Recipe().Time.Source},
	},
	Cautions:  []provenance.Caution{alkali.EyesCaution, alkali.HotWaterCaution, scour.NotScouredCaution, alkali.VesselCaution},
	Values:    scour.Values(),
	Sources:   []provenance.Source{scour.WettingTime.Source},
	Calculate: calculateScour,
})

func scourStates() (words []Word) {
	for _, s := range scour.ClothStates() {
		words = append(words, Word{string(s), s.Words()})
	}
	return words
}

func calculateScour(g *InputValues) (*Answer, error) {
	a := &Answer{}
	cloth, state := Get[unit.Mass](g, "goods"), scour.ClothState(g.Word("state"))
	r := state.Recipe()
	m, low, high := scour.MassByShare(cloth, r.Soda)
	PutRange(a, "soda_ash", m, low, high)
	m, low, high = scour.MassByShare(cloth, r.Detergent)
	PutRange(a, "detergent", m, low, high)
	Put(a, "water", scour.WaterVolume(cloth, Get[unit.SpecificVolume](g, "ratio")))
	PutRange(a, "temperature", unit.Temperature(r.Temperature.Value), unit.Temperature(r.Temperature.Low), unit.Temperature(r.Temperature.High))
	PutRange(a, "minutes", unit.Duration(r.Time.Value), unit.Duration(r.Time.Low), unit.Duration(r.Time.High))
	for _, key := range []string{"soda_ash", "detergent", "temperature", "minutes"} {
		a.SetSource(key, r.Soda.Source)
	}
	switch state {
	case scour.StatePrepared:
		a.AddNote("cloth that is prepared for dyeing only needs to be wet through; its maker's instructions come first")
	case scour.StateRaw:
		a.AddNote("raw cloth turns the water yellow: pour it off hot, rinse hot, and repeat if a drop of water still stands on the cloth")
	default:
		a.AddNote("in the machine: the hottest cotton programme that the care label allows, no softener, no dryer sheets")
	}
	a.AddNote("test it dry: a drop of water sinks in within %g seconds; if it stands, pre-wash again", scour.WettingTime.Value)
	a.AddNote("dissolve the soda ash in warm water first; rinse until the cloth is no longer slippery")
	return a, nil
}
