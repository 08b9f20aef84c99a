// Package immersion is an even dye bath: cloth that moves in a pot with dye, then
// salt, then soda ash. Start with Bath. Times and temperatures are by the class of
// the dye. It knows no cold batch.
package immersion

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// Bath is cloth and dye in a pot.
type Bath struct {
	Class       dye.Class
	Cloth       unit.Mass           // dry
	Depth       unit.Share          // powder on the dry weight
	LiquorRatio unit.SpecificVolume // water by dry weight
}

// recipeSource is the source of salt and soda ash by depth.
var recipeSource = provenance.Source{Reliability: provenance.Published,
	Text: "Analysis of depth of shade on mercerized and unmercerized fabric among different woven fabric structures, Hindawi 2016, article 9739380, table 2 (70 °C, 10 L/kg); between its depths in a straight line, the range is judgement"}

// craftSource is the source of what small dye pots go by.
var craftSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: even dyeing in a bucket or pot"}

// depthAmount is an amount at a depth.
type depthAmount struct {
	depth  unit.Share
	amount float64 // g/L
}

// Salt and soda ash in g/L at the depths of the table.
var (
	saltByDepth = []depthAmount{{0.005, 20}, {0.015, 50}, {0.04, 70}}
	sodaByDepth = []depthAmount{{0.005, 5}, {0.015, 15}, {0.04, 20}}
)

// recipeSpread says how far usual recipes differ from the table, either way, as a share of
// it (judgement).
const recipeSpread = 0.3

// amountAt returns the amount at depth: in a straight line between points, and that of the
// nearest point outside them.
func amountAt(points []depthAmount, depth unit.Share) float64 {
	if depth <= points[0].depth {
		return points[0].amount
	}
	for i := 1; i < len(points); i++ {
		p, q := points[i-1], points[i]
		if depth <= q.depth {
			return p.amount + (q.amount-p.amount)*float64((depth-p.depth)/(q.depth-p.depth))
		}
	}
	return points[len(points)-1].amount
}

func valueWithRange(name string, v float64) provenance.Value {
	return provenance.Value{Name: name, Value: v, Low: v * (1 - recipeSpread), High: v * (1 + recipeSpread), Unit: "g/L", Source: recipeSource}
}

// SaltStrength is the salt a litre of bath for a depth.
func SaltStrength(depth unit.Share) provenance.Value {
	return valueWithRange("salt in the bath", amountAt(saltByDepth, depth))
}

// coldSodaStrength is the soda ash for dyes that bond in lukewarm water.
var coldSodaStrength = provenance.Value{Name: "soda ash in a lukewarm bath", Value: 7, Low: 5, High: 10, Unit: "g/L", Source: craftSource}

// SodaStrength says how much soda ash a litre of bath needs, for a class and depth.
func SodaStrength(class dye.Class, depth unit.Share) provenance.Value {
	if class == dye.Dichlorotriazine {
		return coldSodaStrength
	}
	return valueWithRange("soda ash in the bath", amountAt(sodaByDepth, depth))
}

// temperatureSource is the source of temperatures by class.
var temperatureSource = provenance.Source{Reliability: provenance.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, SDC 1995, ch. 4: exhaust dyeing by reactive class"}

// BathTemperature is the temperature of the bath once the soda ash is in; ok is false for
// an unknown class.
func BathTemperature(class dye.Class) (v provenance.Value, ok bool) {
	switch class {
	case dye.Dichlorotriazine:
		return provenance.Value{Name: "bath of dichlorotriazine dyes", Value: 35, Low: 25, High: 40, Unit: "°C", Source: temperatureSource}, true
	case dye.VinylSulfone:
		return provenance.Value{Name: "bath of vinyl sulfone dyes", Value: 60, Low: 40, High: 60, Unit: "°C", Source: temperatureSource}, true
	case dye.Monochlorotriazine:
		return provenance.Value{Name: "bath of monochlorotriazine dyes", Value: 80, Low: 75, High: 90, Unit: "°C", Source: temperatureSource}, true
	}
	return provenance.Value{}, false
}

// The times and the water of a bath.
var (
	SaltTime    = provenance.Value{Name: "time with salt, before the soda ash", Value: 30 * 60, Low: 20 * 60, High: 45 * 60, Unit: "s", Source: craftSource}
	SodaTime    = provenance.Value{Name: "time with soda ash", Value: 60 * 60, Low: 45 * 60, High: 90 * 60, Unit: "s", Source: craftSource}
	LiquorRatio = provenance.Value{Name: "water of a small bath", Value: 10, Low: 8, High: 20, Unit: "L/kg",
		Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: 10 L/kg in the published recipe, 20 L/kg in a bucket; below 8 L/kg cloth does not move freely, which is judgement"}}
	// BondedShare is the share of the dye that bonds in a bath.
	BondedShare = provenance.Value{Name: "share of the dye that bonds in a bath", Value: 0.60, Low: 0.50, High: 0.70, Unit: "1",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement; below 65 % on average for dyes with one reactive group: RSC Advances 2019, doi 10.1039/c9ra02108f"}}
)

// Values lists the constants, those by depth at the depths of the table.
func Values() []provenance.Value {
	v := []provenance.Value{LiquorRatio, SaltTime, SodaTime, BondedShare, coldSodaStrength}
	for _, c := range []dye.Class{dye.Dichlorotriazine, dye.VinylSulfone, dye.Monochlorotriazine} {
		w, _ := BathTemperature(c)
		v = append(v, w)
	}
	for i, name := range []string{"0.5 %", "1.5 %", "4 %"} {
		v = append(v, valueWithRange("salt at "+name, saltByDepth[i].amount), valueWithRange("soda ash at "+name, sodaByDepth[i].amount))
	}
	return v
}

// Water is the bath.
func (b Bath) Water() unit.Volume { return unit.Volume(float64(b.Cloth) * float64(b.LiquorRatio)) }

// Powder is the dye powder.
func (b Bath) Powder() unit.Mass { return unit.Mass(float64(b.Cloth) * float64(b.Depth)) }

// MassInBath is what the bath takes of something by the litre, with its range.
func (b Bath) MassInBath(v provenance.Value) (middle, low, high unit.Mass) {
	in := func(c float64) unit.Mass { return unit.Concentration(c).MassIn(b.Water()) }
	return in(v.Value), in(v.Low), in(v.High)
}
