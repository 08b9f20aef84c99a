package rinse

import (
	"cmp"
	"math"
	"slices"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// Depth describes how dark the darkest colour of some goods is. It decides who may share a bath.
type Depth string

// The depths, in the order in which they are rinsed.
const (
	DepthLight  Depth = "light"
	DepthMedium Depth = "middle"
	DepthDark   Depth = "dark"
)

var sharingSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: light before dark, like with like, dark alone; where the limits lie is a judgement"}

// The limits of sharing.
var (
	LightFrom = provenance.Value{Name: "lightness L* from which colours are light", Value: 60, Unit: "1", Source: sharingSource}
	DarkBelow = provenance.Value{Name: "lightness L* below which colours are dark", Value: 35, Unit: "1", Source: sharingSource}
	NearHue   = provenance.Value{Name: "how far the hues of middle colours in one bath may differ", Value: 60, Unit: "°", Source: sharingSource}
)

// DyedGoods describes goods to be rinsed: their dry weight, and the CIE lightness (0 to 100) and
// hue (degrees) of their darkest colour.
type DyedGoods struct {
	Mass      unit.Mass
	Lightness float64
	Hue       float64
}

// Depth returns how dark g is.
func (g DyedGoods) Depth() Depth {
	switch {
	case g.Lightness >= LightFrom.Value:
		return DepthLight
	case g.Lightness < DarkBelow.Value:
		return DepthDark
	}
	return DepthMedium
}

// AssignTubs divides goods among tubs that hold at most so much dry cloth, and returns the
// indexes of each tub's goods: light ones first, which share, then middle ones, which share
// with those of a near hue, then dark ones, each alone. Goods heavier than a tub holds get
// one of their own. Equal goods keep their order.
func AssignTubs(goods []DyedGoods, holds unit.Mass) (tubs [][]int) {
	order := make([]int, len(goods))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(goods[b].Lightness, goods[a].Lightness) })
	mass := []unit.Mass{}
	for _, i := range order {
		g := goods[i]
		at := slices.IndexFunc(tubs, func(tub []int) bool { return canShare(goods[tub[0]], g) })
		for at >= 0 && mass[at]+g.Mass > holds {
			next := slices.IndexFunc(tubs[at+1:], func(tub []int) bool { return canShare(goods[tub[0]], g) })
			if next < 0 {
				at = -1
				break
			}
			at += 1 + next
		}
		if at < 0 {
			at = len(tubs)
			tubs, mass = append(tubs, nil), append(mass, 0)
		}
		tubs[at] = append(tubs[at], i)
		mass[at] += g.Mass
	}
	return tubs
}

// canShare says whether goods may be rinsed in the bath that others of that colour began.
func canShare(first, g DyedGoods) bool {
	if first.Depth() != g.Depth() {
		return false
	}
	switch g.Depth() {
	case DepthLight:
		return true
	case DepthMedium:
		apart := math.Mod(math.Abs(first.Hue-g.Hue), 360)
		return min(apart, 360-apart) <= NearHue.Value
	}
	return false
}
