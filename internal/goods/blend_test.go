package goods

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/unit"
)

func TestParseBlend(t *testing.T) {
	for _, c := range []struct {
		typed, words string
		dyed         unit.Share
		means        string
	}{
		{"cotton", "cotton", 1, ""},
		{"60 % cotton, 40 % polyester", "60 % cotton, 40 % polyester", 0.6, "half the depth, heathered; seams stay white"},
		{"50% Cotton / 50% Polyester", "50 % cotton, 50 % polyester", 0.5, "half the depth, heathered; seams stay white"},
		{"cotton 95%; spandex 5%", "95 % cotton, 5 % elastane", 0.95, "nearly the full depth; seams and elastic stay paler"},
		{"80 cotton, 20 linen", "80 % cotton, 20 % linen (flax)", 1, ""},
		{"100 % polyester", "polyester", 0, "takes hardly any dye: it stays nearly white"},
		{"70% cotton,30% wool", "70 % cotton, 30 % wool", 0.7, "wool: " + adviceAnimalFibre},
		{"33,5", "", 0, ""},
		{"60 % cotton", "", 0, ""},
		{"cotton, polyester", "", 0, ""},
		{"60 % cotton, 40 % cotton", "", 0, ""},
		{"60 % cotton, 40 % unobtainium", "", 0, ""},
		{"", "", 0, ""},
		{"0 % cotton, 100 % silk", "", 0, ""},
		{"1e9 % cotton", "", 0, ""},
	} {
		b, err := ParseBlend(c.typed)
		if c.words == "" {
			if err == nil {
				t.Errorf("%q is read as %q", c.typed, b.Words())
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", c.typed, err)
			continue
		}
		if b.Words() != c.words || math.Abs(float64(b.DyeableShare()-c.dyed)) > 1e-9 || b.DyeingNote() != c.means {
			t.Errorf("%q is %q, %v, %q", c.typed, b.Words(), b.DyeableShare(), b.DyeingNote())
		}
	}
}

// What is written is read again, for every pair of fibres and share.
func TestBlendRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := Fibres()
		i := rapid.IntRange(0, len(all)-1).Draw(t, "one")
		j := rapid.IntRange(0, len(all)-2).Draw(t, "other")
		if j >= i {
			j++
		}
		n := rapid.IntRange(1, 99).Draw(t, "per cent")
		b := Blend{{all[i].Fibre, unit.Share(n) / 100}, {all[j].Fibre, 1 - unit.Share(n)/100}}
		got, err := ParseBlend(b.Words())
		if err != nil || len(got) != 2 || got[0].Fibre != b[0].Fibre || got[1].Fibre != b[1].Fibre || math.Abs(float64(got[0].Share-b[0].Share)) > 1e-9 {
			t.Fatalf("%q gives %v, %v", b.Words(), got, err)
		}
	})
}

func FuzzParseBlend(f *testing.F) {
	f.Add("60 % cotton, 40 % polyester")
	f.Add("%1,")
	f.Fuzz(func(t *testing.T, typed string) {
		if b, err := ParseBlend(typed); err == nil && !(b.DyeableShare() >= 0 && b.DyeableShare() < 1.01) {
			t.Errorf("%q: %v of the cloth is dyed", typed, b.DyeableShare())
		}
	})
}
