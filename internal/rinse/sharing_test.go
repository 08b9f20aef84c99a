package rinse

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/unit"
)

func TestShare(t *testing.T) {
	yellow, cream := DyedGoods{150, 71, 75}, DyedGoods{150, 90, 90}
	rust, brick, blue := DyedGoods{150, 41, 36}, DyedGoods{150, 45, 50}, DyedGoods{150, 40, 260}
	black, navy := DyedGoods{150, 18, 300}, DyedGoods{150, 22, 280}
	for _, row := range []struct {
		why   string
		goods []DyedGoods
		holds unit.Mass
		want  [][]int
	}{
		{"nothing", nil, 1000, nil},
		{"light ones share, the lightest first", []DyedGoods{yellow, cream}, 1000, [][]int{{1, 0}}},
		{"middle ones of a near hue share, others do not", []DyedGoods{rust, blue, brick}, 1000, [][]int{{2, 0}, {1}}},
		{"dark ones are alone, and last", []DyedGoods{black, yellow, navy}, 1000, [][]int{{1}, {2}, {0}}},
		{"a tub that is full begins another", []DyedGoods{yellow, yellow, yellow}, 300, [][]int{{0, 1}, {2}}},
		{"just full", []DyedGoods{yellow, yellow}, 300, [][]int{{0, 1}}},
		{"heavier than a tub holds", []DyedGoods{{2000, 71, 75}, yellow}, 300, [][]int{{0}, {1}}},
		{"hues on both sides of 0°", []DyedGoods{{100, 45, 350}, {100, 44, 20}}, 1000, [][]int{{0, 1}}},
	} {
		if got := AssignTubs(row.goods, row.holds); !reflect.DeepEqual(got, row.want) {
			t.Errorf("%s: %v, want %v", row.why, got, row.want)
		}
	}
}

// The limits, on both sides.
func TestDepth(t *testing.T) {
	for lightness, want := range map[float64]Depth{100: DepthLight, 60: DepthLight, 59.9: DepthMedium, 35: DepthMedium, 34.9: DepthDark, 0: DepthDark} {
		if got := (DyedGoods{Lightness: lightness}).Depth(); got != want {
			t.Errorf("L* %g: %s, want %s", lightness, got, want)
		}
	}
}

// Everything is in one tub, no tub is too full but for single goods, none mixes depths, and
// the tubs go from light to dark.
func TestShareProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		goods := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) DyedGoods {
			return DyedGoods{unit.Mass(rapid.IntRange(20, 900).Draw(t, "grams")), float64(rapid.IntRange(0, 100).Draw(t, "L")), float64(rapid.IntRange(0, 359).Draw(t, "hue"))}
		}), 0, 30).Draw(t, "goods")
		seen := map[int]bool{}
		rank := map[Depth]int{DepthLight: 0, DepthMedium: 1, DepthDark: 2}
		last := 0
		for _, tub := range AssignTubs(goods, 1000) {
			mass := unit.Mass(0)
			for _, i := range tub {
				if seen[i] || goods[i].Depth() != goods[tub[0]].Depth() {
					t.Fatalf("%d is in two tubs, or with another depth: %v", i, tub)
				}
				seen[i] = true
				mass += goods[i].Mass
			}
			if mass > 1000 && len(tub) > 1 || goods[tub[0]].Depth() == DepthDark && len(tub) > 1 {
				t.Fatalf("%v holds %g g", tub, float64(mass))
			}
			if r := rank[goods[tub[0]].Depth()]; r < last {
				t.Fatal("a lighter tub comes after a darker one")
			} else {
				last = r
			}
		}
		if len(seen) != len(goods) {
			t.Fatalf("%d of %d are in a tub", len(seen), len(goods))
		}
	})
}
