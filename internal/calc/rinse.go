package calc

import (
	"fmt"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/rinse"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "rinse", Order: 70,
	Title:   "Washing out",
	Purpose: "How many cold baths, or what running water, until hardly any alkali and loose dye is left; how much water that takes; and in what order to wash out.",
	Formula: "Each bath leaves (K + r) / (K + L) of what was there: r is what the goods hold and L the whole bath, both in litres per kilogram, K what clings. Running water leaves exp(−flow × time / (bath + K × goods)).",
	Inputs: []Input{
		{Key: "goods", Label: "Goods", Help: "dry weight", Type: Quantity, Kinds: []unit.Kind{unit.KindMass}, Required: true, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "bath", Label: "Bath", Help: "all that is in the tub", Type: Quantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true,
			Example: "20 L", Min: 100, Max: 1e7, Presets: []string{"10 L", "20 L", "40 L", "5 gal"}},
		{Key: "clings", Ask: true, Label: "Loose dye clings", Help: "not, for alkali alone", Type: Choice,
			Words:   []Word{{string(rinse.Not), "not"}, {string(rinse.Middling), "middling"}, {string(rinse.Strongly), "strongly"}},
			Default: string(rinse.Middling), Source: fault.CommonPractice},
		{Key: "target", Label: "May be left", Type: Quantity, Kinds: []unit.Kind{unit.KindShare}, Default: "0.1 %", Min: 1e-6, Max: 0.5,
			Presets: []string{"1 %", "0.1 %"}, Source: rinse.Target.Source},
		{Key: "held", Label: "Held, into the first bath", Help: "out of the bag", Type: Quantity, Kinds: []unit.Kind{unit.KindSpecificVolume},
			Default: "2.2 L/kg", Min: goods.SpunFloor.Value, Max: 10, Source: goods.Full.Source},
		{Key: "after", Label: "Held, into the next ones", Help: "wrung; spun 0.6 L/kg", Type: Quantity, Kinds: []unit.Kind{unit.KindSpecificVolume},
			Default: "1.2 L/kg", Min: goods.SpunFloor.Value, Max: 10, Source: goods.Wrung.Source},
		{Key: "flow", Label: "Running water", Help: "instead of baths, with a time", Type: Quantity, Kinds: []unit.Kind{unit.KindFlow}, Example: "6 L/min", Min: 0.01, Max: 1000},
		{Key: "time", Label: "For how long", Type: Quantity, Kinds: []unit.Kind{unit.KindDuration}, Example: "10 min", Min: 1, Max: 86400},
	},
	Outputs: []Output{
		{Key: "rinses", Label: "Cold baths", Kind: unit.KindCount, Source: rinse.Balance},
		{Key: "water", Label: "Water", Kind: unit.KindVolume, Source: rinse.Balance},
		{Key: "left", Label: "Left in the liquor", Help: "of what it held at the start", Kind: unit.KindShare, In: "%", Source: rinse.Balance},
		{Key: "sequence", Label: "In this order", Words: []Word{{"baths", "cold baths, then hot"}, {"running", "cold running water, then hot"}}, Source: rinse.Order},
	},
	Cautions: []fault.Caution{alkali.Hot, cure.KeepAway, dye.NoBleach, alkali.Drain},
	Values:   []fault.Value{rinse.Not.K(), rinse.Middling.K(), rinse.Strongly.K(), rinse.Target, goods.Full, goods.Wrung, goods.Spun},
	Sum:      sumRinse,
})

func sumRinse(g *Given) (*Answer, error) {
	tub := rinse.Tub{
		Goods: Get[unit.Mass](g, "goods"), Bath: Get[unit.Volume](g, "bath"),
		Held: Get[unit.SpecificVolume](g, "held"), After: Get[unit.SpecificVolume](g, "after"),
		Clings: rinse.Clings(g.Word("clings")),
	}
	if !tub.Fits() {
		return nil, g.Refuse("bath", "%q is no more than the goods hold", g.Text("bath")).WithHint("more water, such as 20 times the goods")
	}
	a := &Answer{}
	kind, cold := "baths", ""
	switch running, timed := g.Has("flow"), g.Has("time"); {
	case running != timed:
		key := "flow"
		if running {
			key = "time"
		}
		return nil, g.Missing(key, "flow and time go together: %s is missing", key)
	case running:
		left, water := tub.Running(Get[unit.Flow](g, "flow"), Get[unit.Duration](g, "time"))
		Put(a, "water", water)
		Put(a, "left", left)
		kind, cold = "running", unit.Show(unit.KindDuration, float64(Get[unit.Duration](g, "time")), g.Style)+" of cold running water"
		a.Note("the tub stays full and runs over")
	default:
		n, ok := tub.Rinses(Get[unit.Share](g, "target"))
		if !ok {
			return nil, g.Refuse("bath", "%q leaves more than the target even after %d baths", g.Text("bath"), n).WithHint("a larger bath, better wrung goods, or a higher target")
		}
		Put(a, "rinses", unit.Count(n))
		Put(a, "water", tub.Water(n))
		Put(a, "left", tub.Left(n))
		if cold = "1 cold bath"; n > 1 {
			cold = fmt.Sprintf("%d cold baths", n)
		}
	}
	if tub.Clings == rinse.Strongly {
		a.Note("warmth loosens dye that clings: once the alkali is out, a few hot baths do more than many cold ones")
	}
	if tub.Clings != rinse.Not {
		a.Cite(tub.Clings.K().Source)
	}
	a.PutWord("sequence", kind, numbered(rinse.Steps(cold)))
	return a, nil
}

// numbered sets steps in one line.
func numbered(steps []string) string {
	var b strings.Builder
	for i, s := range steps {
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "%d. %s", i+1, s)
	}
	return b.String()
}
