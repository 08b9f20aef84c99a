package calc

import (
	"strings"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "liquor", Order: 15,
	Title:   "How much dye",
	Purpose: "How much dye liquor the goods take, for each colour, and in how many bottles.",
	Formula: "Volume is goods × (full − wrung) × cover × (1 + loss), a gram held being a millilitre; each colour gets its share. The range is over what wrung goods (100–150 %) and full goods (180–260 %) hold, unless you give or weigh that. Bottles are filled to 85 %.",
	Inputs: []Input{
		{Key: "goods", Label: "Goods", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Required: true, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "shares", ShowInForm: true, Label: "Colours and their shares", Help: "parts, or per cent", Type: TypeText, Example: "rust:2;blue-green:1"},
		{Key: "wrung", Label: "Held when wrung", Help: "of the dry weight; after a machine spin 60 %", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "110 %", Min: goods.MinHeldAfterSpinning.Value, Max: 4, Presets: []string{"60 %", "110 %"}, Source: goods.HeldAfterWringing.Source},
		{Key: "full", Label: "Held when full", Help: "in the bag, without a puddle", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "220 %", Min: goods.MinHeldAfterSpinning.Value, Max: 6, Presets: []string{"180 %", "220 %", "260 %"}, Source: goods.HeldWhenFull.Source},
		{Key: "cover", Label: "Cloth to be dyed", Help: "the rest stays white", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "100 %", Min: 0.01, Max: 1, Source: provenance.StartValueSource},
		{Key: "loss", Label: "Lost on the way", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare}, Default: "15 %", Min: 0, Max: 1, Source: liquor.LossShare.Source},
		{Key: "bottle", Label: "What a bottle holds", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Default: "8 fl oz", Min: 1, Max: 1e5,
			Presets: []string{"4 fl oz", "8 fl oz", "250 mL"}, Source: provenance.CommonPracticeSource},
		{Key: "piece_dry", Label: "One piece, weighed dry", Help: "with the next two instead of wrung and full", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "160 g", Min: 1, Max: 1e5},
		{Key: "piece_wrung", Label: "The same, wrung", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "340 g", Min: 1, Max: 1e6},
		{Key: "piece_bagged", Label: "The same, dyed, in its bag", Help: "less the bag", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "510 g", Min: 1, Max: 1e6},
	},
	Outputs: []Output{
		{Key: "volume", Label: "Total dye", Kind: unit.KindVolume, Source: massBalanceSource},
		{Key: "colour", Label: "Dye of a colour", Help: "one for each of shares, by its name", Kind: unit.KindVolume, IsList: true, Source: massBalanceSource},
		{Key: "bottles", Label: "Bottles", Kind: unit.KindCount, Source: dye.BottleFillShare.Source},
	},
	Cautions:      []provenance.Caution{dye.DustCaution, dye.NotFoodCaution, dye.NoVinegarCaution},
	Values:        []provenance.Value{liquor.LossShare, goods.HeldAfterWringing, goods.HeldAfterSpinning, goods.MinHeldAfterSpinning, goods.HeldWhenFull, liquor.MaxHeld, dye.BottleFillShare},
	ExampleInputs: "shares='rust:2;blue-green:1'",
	Calculate:     calculateLiquor,
})

func calculateLiquor(g *InputValues) (*Answer, error) {
	a := &Answer{}
	hold, err := readHeldShares(g, a)
	if err != nil {
		return nil, err
	}
	need := liquor.LiquorNeed{Goods: Get[unit.Mass](g, "goods"), Held: hold.usual, CoveredShare: Get[unit.Share](g, "cover"), LossShare: Get[unit.Share](g, "loss")}
	least, most := need, need
	least.Held, most.Held = hold.least, hold.most
	v, low, high := need.Volume(), least.Volume(), most.Volume()
	if low == high {
		Put(a, "volume", v)
	} else {
		PutRange(a, "volume", v, low, high)
	}
	bottle := Get[unit.Volume](g, "bottle")
	if !g.Has("shares") {
		Put(a, "bottles", liquor.CountBottles(v, bottle))
		return a, nil
	}
	colours, err := liquor.ParseShares(g.Text("shares"))
	if err != nil {
		return nil, fault.AsFault(err).At("shares", g.Text("shares"))
	}
	bottles := unit.Count(0)
	var each []string
	for _, c := range colours {
		if _, taken := g.entry.output(c.Name); taken {
			return nil, g.Refuse("shares", "%q cannot be the name of a colour here", c.Name).WithHint("another, such as rust")
		}
		s := unit.Volume(c.Share)
		PutItem(a, "colour", c.Name, v*s, low*s, high*s)
		n := liquor.CountBottles(v*s, bottle)
		bottles += n
		each = append(each, c.Name+" "+unit.Show(unit.KindCount, float64(n), g.Style))
	}
	Put(a, "bottles", bottles)
	a.SetText("bottles", "%s: %s", unit.Show(unit.KindCount, float64(bottles), g.Style), strings.Join(each, ", "))
	return a, nil
}

// heldRange is the water that goods hold: usually, and where they take up the least and the
// most dye.
type heldRange struct{ usual, least, most liquor.HeldShares }

// readHeldShares returns what the goods hold, as typed or from the weighed piece. A value from
// neither has the range of common practice.
func readHeldShares(g *InputValues, a *Answer) (heldRange, error) {
	weighings := []string{"piece_dry", "piece_wrung", "piece_bagged"}
	missing, given := "", 0
	for _, key := range weighings {
		if g.Has(key) {
			given++
		} else {
			missing = key
		}
	}
	if given == 0 {
		h := liquor.HeldShares{Wrung: Get[unit.Share](g, "wrung"), Full: Get[unit.Share](g, "full")}
		if h.Wrung >= h.Full {
			return heldRange{}, g.Refuse("wrung", "goods that hold %s wrung out and %s full cannot take up dye", g.Text("wrung"), g.Text("full")).WithHint("full must be more than wrung")
		}
		out := heldRange{h, h, h}
		if !g.IsTyped("wrung") {
			out.least.Wrung, out.most.Wrung = unit.Share(goods.HeldAfterWringing.High), unit.Share(goods.HeldAfterWringing.Low)
		}
		if !g.IsTyped("full") {
			out.least.Full, out.most.Full = unit.Share(goods.HeldWhenFull.Low), unit.Share(goods.HeldWhenFull.High)
		}
		return out, nil
	}
	if missing != "" {
		return heldRange{}, g.Missing(missing, "a piece is weighed dry, wrung and in its bag: %s is missing", missing)
	}
	for _, key := range []string{"wrung", "full"} {
		if g.IsTyped(key) {
			return heldRange{}, g.Refuse(key, "%s %q and a piece that was weighed contradict each other", key, g.Text(key)).WithHint("use only one of them")
		}
	}
	h, err := liquor.HeldSharesFromWeights(Get[unit.Mass](g, "piece_dry"), Get[unit.Mass](g, "piece_wrung"), Get[unit.Mass](g, "piece_bagged"))
	if err != nil {
		return heldRange{}, fault.AsFault(err).At("piece_wrung", g.Text("piece_wrung"))
	}
	delete(g.values, "wrung") // the defaults were not used, so the result must not show them
	delete(g.values, "full")
	a.AddNote("the piece holds %s wrung and %s full", unit.Show(unit.KindShare, float64(h.Wrung), g.Style), unit.Show(unit.KindShare, float64(h.Full), g.Style))
	return heldRange{h, h, h}, nil
}
