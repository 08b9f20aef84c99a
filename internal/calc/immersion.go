package calc

import (
	"fmt"

	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/immersion"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "immersion", Order: 62,
	Title:   "Even dye bath",
	Purpose: "One even colour in a pot with little water: dye, salt, soda ash, heat and times, by class and depth.",
	Formula: "Dye is a share of the dry cloth. Salt and soda ash go by the litre of bath, more for deeper colours. The class decides how warm the bath is and how much soda ash it takes.",
	Inputs: []Input{
		{Key: "goods", Label: "Cloth", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Required: true, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "strength", ShowInForm: true, Label: "Depth", Help: "per cent of the weight of the dry cloth, or g per litre of bath", Type: TypeQuantity, Kinds: strengthKinds, Default: "2 %", Min: 0.01, Max: 100,
			Presets: []string{"0.5 %", "2 %", "4 %"}, Source: provenance.StartValueSource},
		{Key: "class", ShowInForm: true, Label: "Dye class", Type: TypeChoice, Words: classWords(), Default: string(dye.Dichlorotriazine), Source: provenance.CommonPracticeSource},
		{Key: "ratio", Label: "Water", Help: "by the weight of the cloth", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindSpecificVolume}, Default: "10 L/kg", Min: 5, Max: 100,
			Presets: []string{"8 L/kg", "10 L/kg", "20 L/kg"}, Source: immersion.LiquorRatio.Source},
	},
	Outputs: []Output{
		{Key: "powder", Label: "Dye powder", Kind: unit.KindMass, Source: proportionSource},
		{Key: "water", Label: "Water", Kind: unit.KindVolume, Source: proportionSource},
		{Key: "salt", Label: "Salt", Help: "without iodine or anything against caking", Kind: unit.KindMass, Source: immersion.SaltStrength(0).Source},
		{Key: "soda_ash", Label: "Soda ash", Kind: unit.KindMass, Source: immersion.SaltStrength(0).Source},
		{Key: "temperature", Label: "Temperature with soda ash", Kind: unit.KindTemperature, Source: provenance.Source{Reliability: provenance.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, SDC 1995, ch. 4: exhaust dyeing by reactive class"}},
		{Key: "minutes", Label: "Total time", Kind: unit.KindDuration, ValueUnit: "min", Source: immersion.SodaTime.Source},
		{Key: "washed_out", Label: "Dye that washes out", Kind: unit.KindMass, Source: immersion.BondedShare.Source},
		{Key: "sequence", Label: "In this order", Words: []Word{{"salt-then-soda", "dye, then salt, then soda ash"}}, Source: immersion.SaltTime.Source},
	},
	Cautions:  []provenance.Caution{dye.DustCaution, alkali.EyesCaution, alkali.HotWaterCaution, dye.NotFoodCaution, dye.NoVinegarCaution, alkali.DrainCaution},
	Values:    append(immersion.Values(), liquor.PaleMaxDepth, liquor.MediumMaxDepth, liquor.DeepMaxDepth),
	Calculate: calculateImmersion,
})

func calculateImmersion(g *InputValues) (*Answer, error) {
	a := &Answer{}
	b := immersion.Bath{Class: dye.Class(g.Word("class")), Cloth: Get[unit.Mass](g, "goods"), Depth: Get[unit.Share](g, "strength"), LiquorRatio: Get[unit.SpecificVolume](g, "ratio")}
	if g.Kind("strength") == unit.KindShare {
		if err := checkDepth(g, "strength", g.Text("strength"), b.Depth); err != nil {
			return nil, err
		}
	} else if b.Depth = liquor.DepthFromStrength(Get[unit.Concentration](g, "strength"), unit.Share(b.LiquorRatio)); b.Depth > maxDepth {
		return nil, g.Refuse("strength", "%q in that much water is more than half the weight of the cloth", g.Text("strength")).WithHint("deep colours are 4 %%")
	}
	warm, ok := immersion.BathTemperature(b.Class)
	if !ok {
		return nil, g.Refuse("class", "a bath cannot be worked out for an unknown class").WithHint("look for the class on the jar or the data sheet")
	}
	Put(a, "powder", b.Powder())
	Put(a, "water", b.Water())
	salt, soda := immersion.SaltStrength(b.Depth), immersion.SodaStrength(b.Class, b.Depth)
	m, low, high := b.MassInBath(salt)
	PutRange(a, "salt", m, low, high)
	m, low, high = b.MassInBath(soda)
	PutRange(a, "soda_ash", m, low, high)
	a.SetSource("soda_ash", soda.Source)
	PutRange(a, "temperature", unit.Temperature(warm.Value), unit.Temperature(warm.Low), unit.Temperature(warm.High))
	times := func(x, y float64) unit.Duration { return unit.Duration(x + y) }
	PutRange(a, "minutes", times(immersion.SaltTime.Value, immersion.SodaTime.Value), times(immersion.SaltTime.Low, immersion.SodaTime.Low), times(immersion.SaltTime.High, immersion.SodaTime.High))
	out := func(bonds float64) unit.Mass { return unit.Mass(float64(b.Powder()) * (1 - bonds)) }
	PutRange(a, "washed_out", out(immersion.BondedShare.Value), out(immersion.BondedShare.High), out(immersion.BondedShare.Low))
	show := func(k unit.Kind, v float64) string { return unit.Show(k, v, g.Style) }
	a.PutWord("sequence", "salt-then-soda", numberSteps([]string{
		"wet the cloth through, and dissolve the dye to a smooth paste, then in hot water",
		"stir the dye into lukewarm water, then the cloth",
		fmt.Sprintf("add the salt, dissolved, in three parts over %s, stirring; then go on for the rest of %s", show(unit.KindDuration, immersion.SaltTime.Value/2), show(unit.KindDuration, immersion.SaltTime.Value)),
		"lift the cloth out, stir in the soda ash, dissolved, in two parts, and put the cloth back: never pour it onto cloth",
		fmt.Sprintf("keep it at %s for %s, stirring often", show(unit.KindTemperature, warm.Value), show(unit.KindDuration, immersion.SodaTime.Value)),
		"rinse cold until the alkali is out, then wash hot",
	}))
	if warm.Value >= 60 {
		a.AddCaution(cure.HotDyeingCaution)
	}
	if float64(b.LiquorRatio) < immersion.LiquorRatio.Low*(1-1e-9) {
		a.AddNote("in less than %g L/kg cloth cannot move, and dyes in patches", immersion.LiquorRatio.Low)
	}
	if liquor.BandOf(b.Depth) == liquor.VeryDeepBand {
		a.AddNote("this deep, much of the dye stays in the bath: try it with less first")
	}
	if b.Class == dye.VinylSulfone || b.Class == dye.Monochlorotriazine {
		a.AddNote("salt and soda ash are those of a recipe at 70 °C")
	}
	a.AddNote("your dye maker's recipe comes first")
	return a, nil
}
