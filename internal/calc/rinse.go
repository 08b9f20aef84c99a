package calc

import (
	"fmt"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/provenance"
	"coldbatch/internal/rinse"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "rinse", Order: 70,
	Title:   "Washing out",
	Purpose: "How many cold baths, or how long under cold running water, until the alkali is out; then how many hot baths until the loose dye is; how much water that takes; and in what order.",
	Formula: "Cold baths are counted by the alkali, which does not cling: goods that hold r of a bath of L thin it to r/L, in litres per kilogram. Running water first fills the tub, to r/L, then leaves exp(−flow × time / bath). Hot baths with detergent are counted by the loose dye: the goods take (K + r) / (K + L) of it out of each bath, where K is how much clings, less when hot. The range of hot baths is over K.",
	Inputs: []Input{
		{Key: "goods", Label: "Goods", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Required: true, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "bath", Label: "Bath", Help: "all the water in the tub", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true,
			Example: "20 L", Min: 100, Max: 1e7, Presets: []string{"10 L", "20 L", "40 L", "5 gal"}},
		{Key: "clings", ShowInForm: true, Label: "Loose dye", Help: "how much clings to the cloth", Type: TypeChoice,
			Words:   []Word{{string(rinse.NoAffinity), "a little"}, {string(rinse.MiddlingAffinity), "some"}, {string(rinse.StrongAffinity), "a lot"}},
			Default: string(rinse.MiddlingAffinity), Source: provenance.StartValueSource},
		{Key: "target", Label: "Allowed to remain", Help: "of the alkali, and of the loose dye", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare}, Default: "0.1 %", Min: 1e-6, Max: 0.5,
			Presets: []string{"1 %", "0.1 %"}, Source: rinse.MaxShareLeft.Source},
		{Key: "held", Label: "Held at first", Help: "by pieces fresh from the bag", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindSpecificVolume},
			Default: "2.2 L/kg", Min: goods.MinHeldAfterSpinning.Value, Max: 10, Source: goods.HeldWhenFull.Source},
		{Key: "after", Label: "Held after each bath", Help: "wrung by hand; spun it is 0.6 L/kg", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindSpecificVolume},
			Default: "1.1 L/kg", Min: goods.MinHeldAfterSpinning.Value, Max: 10, Source: goods.HeldAfterWringing.Source},
		{Key: "flow", Label: "Running water", Help: "cold, instead of cold baths", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindFlow}, Example: "6 L/min", Min: 0.01, Max: 1000},
		{Key: "time", Label: "For how long", Help: "until the target is met, if you leave it out", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindDuration}, Example: "10 min", Min: 1, Max: 86400},
	},
	Outputs: []Output{
		{Key: "rinses", Label: "Cold baths", Kind: unit.KindCount, Source: rinse.MassBalanceSource},
		{Key: "minutes", Label: "Run cold water for", Help: "to meet the target", Kind: unit.KindDuration, ValueUnit: "min", Source: rinse.MassBalanceSource},
		{Key: "water", Label: "Cold water", Kind: unit.KindVolume, Source: rinse.MassBalanceSource},
		{Key: "left", Label: "Alkali left", Help: "of its strength at the start, after the cold rinse", Kind: unit.KindShare, ValueUnit: "%", Source: rinse.MassBalanceSource},
		{Key: "hot", Label: "Hot baths", Help: "with detergent, after the cold rinse", Kind: unit.KindCount, Source: rinse.MiddlingAffinity.HotAffinity().Source},
		{Key: "hot_water", Label: "Hot water", Kind: unit.KindVolume, Source: rinse.MassBalanceSource},
		{Key: "dye_left", Label: "Loose dye left", Help: "in the cloth at the end", Kind: unit.KindShare, ValueUnit: "%", Source: rinse.MiddlingAffinity.HotAffinity().Source},
		{Key: "sequence", Label: "In this order", Words: []Word{{"baths", "cold baths, then hot"}, {"running", "cold running water, then hot"}}, Source: rinse.WashOrderSource},
	},
	Cautions: []provenance.Caution{alkali.HotWaterCaution, cure.KeepAwayCaution, dye.NoBleachCaution, alkali.DrainCaution},
	Values: []provenance.Value{rinse.NoAffinity.ColdAffinity(), rinse.MiddlingAffinity.ColdAffinity(), rinse.StrongAffinity.ColdAffinity(), rinse.NoAffinity.HotAffinity(), rinse.MiddlingAffinity.HotAffinity(), rinse.StrongAffinity.HotAffinity(),
		rinse.MaxShareLeft, goods.HeldWhenFull, goods.HeldAfterWringing, goods.HeldAfterSpinning},
	Calculate: calculateRinse,
})

func calculateRinse(g *InputValues) (*Answer, error) {
	tub := rinse.RinseLoad{
		Goods: Get[unit.Mass](g, "goods"), Bath: Get[unit.Volume](g, "bath"),
		HeldBefore: Get[unit.SpecificVolume](g, "held"), HeldAfter: Get[unit.SpecificVolume](g, "after"),
		Affinity: rinse.Affinity(g.Word("clings")),
	}
	if !tub.BathExceedsHeld() {
		return nil, g.Refuse("bath", "the cloth soaks up all of %q", g.Text("bath")).WithHint("more water, such as 20 times the goods")
	}
	if g.Has("time") && !g.Has("flow") {
		return nil, g.Missing("flow", "a time is given without the flow of the water")
	}
	a, target := &Answer{}, Get[unit.Share](g, "target")
	var p rinse.Plan
	var ok bool
	kind, cold := "baths", ""
	if g.Has("flow") {
		kind = "running"
		p, cold, ok = runningWater(g, a, tub, target)
	} else {
		p, ok = tub.Plan(target)
		Put(a, "rinses", unit.Count(p.ColdBaths))
		cold = bathsInWords(p.ColdBaths, "cold")
	}
	if !ok {
		return nil, g.Refuse("bath", "%q leaves more than the target even after %d baths", g.Text("bath"), rinse.MaxBaths).WithHint("a larger bath, better wrung goods, or a higher target")
	}
	Put(a, "water", p.ColdWater)
	Put(a, "left", p.AlkaliLeft)
	PutRange(a, "hot", unit.Count(p.HotBaths), unit.Count(p.HotBathsLow), unit.Count(p.HotBathsHigh))
	Put(a, "hot_water", p.HotWater)
	Put(a, "dye_left", p.DyeLeft)
	if tub.Affinity == rinse.NoAffinity {
		a.SetSource("hot", rinse.MassBalanceSource)
		a.SetSource("dye_left", rinse.MassBalanceSource)
		a.AddNote("one hot bath washes out what a cold one leaves in the folds")
	}
	a.PutWord("sequence", kind, numberSteps(rinse.WashSteps(cold, bathsInWords(p.HotBaths, "hot"))))
	return a, nil
}

// runningWater works out a rinse in running water, for the time given, else for as long as
// the target needs.
func runningWater(g *InputValues, a *Answer, tub rinse.RinseLoad, target unit.Share) (rinse.Plan, string, bool) {
	q := Get[unit.Flow](g, "flow")
	needed := tub.RunningTime(q, target)
	long := needed
	show := func(d unit.Duration) string { return unit.Show(unit.KindDuration, float64(d), g.Style) }
	Put(a, "minutes", needed)
	a.AddNote("the tub fills up first, then stays full and overflows")
	if g.Has("time") {
		if long = Get[unit.Duration](g, "time"); float64(long) < float64(needed)*(1-1e-9) {
			a.AddNote("%s is too short: run it for %s to meet the target", show(long), show(needed))
		}
	}
	r := tub.RinseRunning(q, long)
	p, ok := tub.PlanHotAfter(r, target)
	return p, show(long) + " of cold running water", ok
}

// bathsInWords prints a number of baths: "3 cold baths".
func bathsInWords(n int, kind string) string {
	if n == 1 {
		return "1 " + kind + " bath"
	}
	return fmt.Sprintf("%d %s baths", n, kind)
}

// numberSteps writes steps in one line: "1. …; 2. …".
func numberSteps(steps []string) string {
	var b strings.Builder
	for i, s := range steps {
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "%d. %s", i+1, s)
	}
	return b.String()
}
