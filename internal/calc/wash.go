package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/rinse"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "wash", Order: 72,
	Title:   "Hot washing",
	Purpose: "Hot baths, water and detergent by the weight of the cloth, once the alkali is rinsed out; or how often to fill the machine.",
	Formula: "Deeper colours take more hot baths. A bath is the cloth times the water per weight; one of the baths gets detergent. A machine is filled to half of its rated load.",
	Inputs: []Input{
		{Key: "goods", Label: "Cloth", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Required: true, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "strength", ShowInForm: true, Label: "Depth or strength of the dye", Help: "per cent of the weight of the dry cloth, or g/L", Type: TypeQuantity, Kinds: strengthKinds, Default: "2 %", Min: 0.01, Max: 500,
			Presets: []string{"0.5 %", "2 %", "4 %", "25 g/L", "75 g/L"}, Source: provenance.StartValueSource},
		{Key: "machine", ShowInForm: true, Label: "Rated load of the machine", Help: "dry, as its maker says", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Default: "7 kg", Min: 500, Max: 1e6,
			Presets: []string{"5 kg", "7 kg", "9 kg"}, Source: provenance.StartValueSource},
		{Key: "ratio", Label: "Water in a bath", Help: "by the weight of the cloth", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindSpecificVolume}, Default: "20 L/kg", Min: 3, Max: 100,
			Presets: []string{"10 L/kg", "20 L/kg", "30 L/kg"}, Source: provenance.CommonPracticeSource},
		{Key: "pickup", Label: "Dye the cloth takes up", Help: "of its dry weight; for a strength in g/L", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare}, Default: "110 %", Min: 0.2, Max: 6,
			Source: liquor.PickUpShare.Source},
	},
	Outputs: []Output{
		{Key: "baths", Label: "Hot baths", Kind: unit.KindCount, Source: rinse.HotBaths(0).Source},
		{Key: "bath", Label: "Water in each", Kind: unit.KindVolume, Source: proportionSource},
		{Key: "water", Label: "Total hot water", Kind: unit.KindVolume, Source: proportionSource},
		{Key: "detergent", Label: "Detergent, in one of them", Kind: unit.KindMass, Source: rinse.DetergentStrength.Source},
		{Key: "minutes", Label: "Time in each", Kind: unit.KindDuration, ValueUnit: "min", Source: rinse.HotBathTime.Source},
		{Key: "loads", Label: "Machine loads", Help: "if you use a machine instead", Kind: unit.KindCount, Source: rinse.MachineFillShare.Source},
	},
	Cautions:  []provenance.Caution{alkali.HotWaterCaution, cure.KeepAwayCaution, dye.NoBleachCaution, alkali.DrainCaution},
	Values:    append(rinse.HotWashValues(), goods.HeldAfterSpinning),
	Calculate: calculateWash,
})

func calculateWash(g *InputValues) (*Answer, error) {
	a := &Answer{}
	depth := Get[unit.Share](g, "strength")
	if g.Kind("strength") == unit.KindShare {
		if err := checkDepth(g, "strength", g.Text("strength"), depth); err != nil {
			return nil, err
		}
	} else {
		depth = liquor.DepthFromStrength(Get[unit.Concentration](g, "strength"), Get[unit.Share](g, "pickup"))
		a.AddNote("%s is %s on the weight of the dry cloth", g.Text("strength"), unit.Show(unit.KindShare, float64(depth), g.Style))
		a.AddSource(onClothSource)
	}
	load := rinse.HotWash{Cloth: Get[unit.Mass](g, "goods"), Depth: depth, LiquorRatio: Get[unit.SpecificVolume](g, "ratio")}
	baths := rinse.HotBaths(depth)
	PutRange(a, "baths", unit.Count(baths.Value), unit.Count(baths.Low), unit.Count(baths.High))
	Put(a, "bath", load.BathVolume())
	PutRange(a, "water", load.TotalWater(baths.Value), load.TotalWater(baths.Low), load.TotalWater(baths.High))
	m, low, high := load.DetergentMass()
	PutRange(a, "detergent", m, low, high)
	Put(a, "minutes", unit.Duration(rinse.HotBathTime.Value))
	Put(a, "loads", load.MachineLoads(Get[unit.Mass](g, "machine")))
	a.AddNote("rinse cold until the cloth no longer feels slippery, only then wash at %g °C or hotter; %g °C takes more loose dye out than %g °C", rinse.MinHotTemperature.Value, rinse.MinHotTemperature.High, rinse.MinHotTemperature.Value)
	a.AddNote("stop when the water stays clear and a wet white rag pressed on at 60 °C stays white; the number of baths is only a start")
	a.AddNote("a 60 °C machine programme counts as one or two hot baths, with a spin between; machine-wash deep colours alone the first time")
	return a, nil
}
