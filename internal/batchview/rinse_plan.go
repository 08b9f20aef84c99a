package batchview

import (
	"math"

	"coldbatch/internal/batch"
	"coldbatch/internal/goods"
	"coldbatch/internal/provenance"
	"coldbatch/internal/rinse"
	"coldbatch/internal/unit"
)

// RinseRatio is the size of the bath that a bag's pieces are rinsed in, MinRinseBath the
// smallest bath.
var (
	RinseRatio   = provenance.Value{Name: "rinsing bath", Value: 20, Unit: "L/kg", Low: 10, High: 30, Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: 20 L/kg in a bucket at home"}}
	MinRinseBath = provenance.Value{Name: "smallest rinsing bath", Value: 5, Unit: "L", Source: judgementSource("a bucket half full")}
)

// washSteps returns how to wash out the bag's pieces, step by step; package rinse plans
// the baths.
func washSteps(s batch.State, b batch.Bag, e ViewEnv) []string {
	cold, hot := "cold baths", "hot baths"
	if p, bath, ok := planRinse(s, b); ok {
		of := " of " + e.formatVolume(float64(bath))
		cold = countWords(p.ColdBaths, "cold bath", "cold baths") + of
		hot = countWords(p.HotBaths, "hot bath", "hot baths") + of
	}
	return rinse.WashSteps(cold, hot)
}

// planRinse returns the baths that the bag's pieces need, and the size of one.
func planRinse(s batch.State, b batch.Bag) (p rinse.Plan, bath unit.Volume, ok bool) {
	grams := bagGrams(s, b)
	tub := rinsingTub(grams)
	if grams > 0 && tub.BathExceedsHeld() {
		p, ok = tub.Plan(unit.Share(rinse.MaxShareLeft.Value))
	}
	return p, tub.Bath, ok
}

// rinsingTub returns goods in the bath in which they are rinsed.
func rinsingTub(grams float64) rinse.RinseLoad {
	return rinse.RinseLoad{Goods: unit.Mass(grams), Bath: unit.Volume(math.Ceil(max(MinRinseBath.Value, grams/1000*RinseRatio.Value)) * 1000),
		HeldBefore: unit.SpecificVolume(goods.HeldWhenFull.Value), HeldAfter: unit.SpecificVolume(goods.HeldAfterWringing.Value), Affinity: rinse.MiddlingAffinity}
}
