package rinse

import (
	"math"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// HotWash is cloth that is washed hot, once the alkali is out.
type HotWash struct {
	Cloth       unit.Mass           // dry
	Depth       unit.Share          // powder on the dry weight
	LiquorRatio unit.SpecificVolume // water in a bath, by dry weight
}

// hotBathsSource is the source of the number of hot baths.
var hotBathsSource = provenance.Source{Reliability: provenance.Judgement,
	Text: "judgement, from the abstract of The wash-off of dyeings using interstitial water, part 2: five baths for 2 % and six for 5 % of a reactive dye, of which all but two are taken as warm or hot"}

// hotBathsByDepth are the hot baths up to a depth; the last is for all that is deeper.
var hotBathsByDepth = []struct {
	maxDepth unit.Share
	baths    provenance.Value
}{
	{0.005, provenance.Value{Name: "hot baths for pale colours", Value: 2, Low: 1, High: 3, Unit: "1", Source: hotBathsSource}},
	{0.02, provenance.Value{Name: "hot baths for medium colours", Value: 3, Low: 2, High: 4, Unit: "1", Source: hotBathsSource}},
	{unit.Share(math.Inf(1)), provenance.Value{Name: "hot baths for deep colours", Value: 4, Low: 3, High: 6, Unit: "1", Source: hotBathsSource}},
}

// The customs of hot washing.
var (
	HotBathTime = provenance.Value{Name: "time in a hot bath", Value: 600, Unit: "s",
		Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice; a copy of advice to mills (thesmarttime.com, rinsing after reactive dyeing; the original was not seen) has 10 min, and about 30 % more loose dye out at 95 °C than at 75 °C"}}
	MinHotTemperature = provenance.Value{Name: "hot bath, at least", Value: 60, Unit: "°C", High: 95, Low: 60, Source: provenance.CommonPracticeSource}
	// DetergentStrength goes into one of the baths.
	DetergentStrength = provenance.Value{Name: "detergent in one hot bath", Value: 1, Unit: "g/L", Low: 0.5, High: 2,
		Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source; the same copy of advice to mills finds that heat, not detergent, takes loose dye out"}}
	// MachineFillShare says how full a machine is.
	MachineFillShare = provenance.Value{Name: "fill of a machine, of what it is rated for", Value: 0.5, Unit: "1",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: cloth that moves freely gives up its dye"}}
)

// HotBaths says how many hot baths a depth takes, as a usual figure with its range.
func HotBaths(depth unit.Share) provenance.Value {
	const tie = 1 - 1e-9
	for _, h := range hotBathsByDepth {
		if depth*tie <= h.maxDepth {
			return h.baths
		}
	}
	return hotBathsByDepth[len(hotBathsByDepth)-1].baths
}

// HotWashValues lists the hot baths for each depth.
func HotWashValues() (v []provenance.Value) {
	for _, h := range hotBathsByDepth {
		v = append(v, h.baths)
	}
	return append(v, HotBathTime, MinHotTemperature, DetergentStrength, MachineFillShare)
}

// BathVolume is the water of one bath.
func (l HotWash) BathVolume() unit.Volume {
	return unit.Volume(float64(l.Cloth) * float64(l.LiquorRatio))
}

// TotalWater is the water of n baths. What the cloth holds from one to the next is not
// taken off: it is less than the error of filling a tub.
func (l HotWash) TotalWater(n float64) unit.Volume { return unit.Volume(n) * l.BathVolume() }

// DetergentMass is the detergent for the one bath that has some.
func (l HotWash) DetergentMass() (middle, low, high unit.Mass) {
	in := func(c float64) unit.Mass { return unit.Concentration(c).MassIn(l.BathVolume()) }
	return in(DetergentStrength.Value), in(DetergentStrength.Low), in(DetergentStrength.High)
}

// MachineLoads says how often a machine that is rated for that much dry cloth is filled. It is
// zero for a machine with no capacity.
func (l HotWash) MachineLoads(rated unit.Mass) unit.Count {
	if rated <= 0 || l.Cloth <= 0 {
		return 0
	}
	const tie = 1e-9
	return unit.Count(max(1, math.Ceil(float64(l.Cloth)/(float64(rated)*MachineFillShare.Value)-tie)))
}
