package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/effluent"
	"coldbatch/internal/provenance"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "drain", Order: 76,
	Title:   "What is left over",
	Purpose: "Where a used soda-ash or dye bath may go, its pH once the rinse water has thinned it, and the acid for a local limit.",
	Formula: "Soda ash and the bicarbonate of the tap water are mixed, and the charges balance at the pH. The acid is the amount that lowers this pH to the limit. Rules are local: enter yours.",
	Inputs: []Input{
		{Key: "volume", Label: "Used bath", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "20 L", Min: 1, Max: 1e8, Presets: []string{"5 L", "20 L", "50 L"}},
		{Key: "to", ShowInForm: true, Label: "It goes", Type: TypeChoice, Words: []Word{{"sewer", "down a drain to the sewer"}, {"septic", "into a septic tank"}, {"ground", "outdoors: ground, street, storm drain"}},
			Default: "sewer", Source: provenance.StartValueSource},
		{Key: "soda", ShowInForm: true, Label: "Soda ash in it", Help: "as it was made up", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindConcentration}, Default: "50 g/L", Min: 0.1, Max: 300,
			Presets: []string{"10 g/L", "25 g/L", "50 g/L"}, Source: soak.UsualStrength.Source},
		{Key: "water", ShowInForm: true, Label: "Rinse water with it", Help: "that goes down with it", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Default: "0 L", Min: 0, Max: 1e9,
			Presets: []string{"50 L", "100 L", "200 L"}, Source: provenance.StartValueSource},
		{Key: "limit", Label: "Highest pH allowed", Help: "by your local rule", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindPH}, Default: "10", Min: 8.5, Max: 12.5,
			Presets: []string{"9", "10", "11"}, Source: effluent.MaxDrainPH.Source},
		{Key: "hardness", Label: "Hardness of the tap water", Help: "its bicarbonate lowers the pH", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindHardness}, Default: "120 mg/L", Min: 0, Max: 2000,
			Source: effluent.TapBicarbonate.Source},
		{Key: "temperature", Label: "Temperature", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature}, Default: "21 °C", Min: 5, Max: 45, Source: provenance.StartValueSource},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "Where it goes", Words: []Word{
			{"with-water", "down the drain with plenty of water"},
			{"neutralise", "lower the pH first, then down the drain"},
			{"ask", "ask first"},
			{"never", "not there: take it to a drain that leads to the sewer"},
		}, Source: provenance.CommonPracticeSource},
		{Key: "ph", Label: "pH as it goes down", Kind: unit.KindPH, Source: alkali.Sources()[0]},
		{Key: "citric", Label: "Citric acid to reach the limit", Help: "the usual crystals, monohydrate", Kind: unit.KindMass, Source: effluent.CitricAcidMolarMass.Source},
		{Key: "vinegar", Label: "Or vinegar", Kind: unit.KindVolume, Source: effluent.VinegarStrength.Source},
		{Key: "soda_in_it", Label: "Soda ash in it", Kind: unit.KindMass, Source: proportionSource},
	},
	Cautions: []provenance.Caution{effluent.NeverPouredCaution, alkali.DrainCaution, alkali.EyesCaution, dye.NoBleachCaution},
	Values: []provenance.Value{effluent.MaxDrainPH, effluent.LargeBathVolume, effluent.TapBicarbonate, effluent.SodaMolarMass, effluent.ChalkMolarMass, effluent.CitricAcidMolarMass,
		effluent.AceticAcidMolarMass, effluent.VinegarStrength},
	Sources:   []provenance.Source{effluent.AcidicDrainSource},
	Calculate: calculateDrain,
})

func calculateDrain(g *InputValues) (*Answer, error) {
	a := &Answer{}
	used := effluent.Bath{Volume: Get[unit.Volume](g, "volume"), Soda: Get[unit.Concentration](g, "soda"), Temperature: Get[unit.Temperature](g, "temperature")}
	if most := alkali.SolubilityLimit(used.Temperature); used.Soda > most {
		return nil, g.Refuse("soda", "%q does not dissolve at %q", g.Text("soda"), g.Text("temperature")).WithHint("up to %s", unit.Show(unit.KindConcentration, float64(most), g.Style))
	}
	bath, limit := used.Diluted(Get[unit.Volume](g, "water"), Get[unit.Hardness](g, "hardness")), Get[unit.PH](g, "limit")
	ph, extrapolated := bath.PH()
	Put(a, "ph", ph)
	Put(a, "soda_in_it", used.Soda.MassIn(used.Volume))
	acid := bath.AcidTo(limit)
	above := acid > 0
	if above {
		Put(a, "citric", effluent.CitricAcidMass(acid))
		v, low, high := effluent.VinegarVolume(acid)
		PutRange(a, "vinegar", v, low, high)
		a.AddCaution(effluent.NeutralizingCaution)
	}
	switch to := g.Word("to"); {
	case to == "ground":
		a.PutWord("verdict", "never", "")
		a.AddNote("soda ash harms plants and life in water, and dye colours a stream: never pour it away outdoors")
	case to == "septic":
		a.PutWord("verdict", "ask", "ask whoever looks after the tank first")
		a.AddNote("a septic tank needs its bacteria: pour small baths on different days, or take them to a drain to the sewer")
	case float64(used.Volume) > effluent.LargeBathVolume.Value*(1+1e-9):
		a.PutWord("verdict", "ask", "ask your sewage works first: this is more than a household washes")
	case above && g.IsTyped("limit"):
		a.PutWord("verdict", "neutralise", "")
	default:
		a.PutWord("verdict", "with-water", "")
		if above {
			a.AddNote("most places ask for no acid with a household bath, as the sewer thins it many times over; the acid here is for a limit of %s, in case your sewage works sets one",
				unit.Show(unit.KindPH, float64(limit), g.Style))
		}
	}
	if above {
		a.AddNote("water alone hardly helps: ten times as much water lowers the pH by little more than half a unit")
	}
	if extrapolated {
		a.AddNote("a bath this weak is outside what the pH was checked for: take it as ± 0.2")
	}
	a.AddNote("let dye that is left over stand a day with its soda ash: then it no longer bonds to anything; let hot baths cool below 40 °C")
	a.AddNote("the least waste is the dye you do not mix: work out how much you need")
	return a, nil
}
