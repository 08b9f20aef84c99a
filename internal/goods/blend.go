package goods

import (
	"math"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// FibrePart is a fibre of a blend with its share by weight.
type FibrePart struct {
	Fibre Fibre      `json:"fibre"`
	Share unit.Share `json:"share"`
}

// Blend is the fibres of a cloth. Their shares add up to 1.
type Blend []FibrePart

// otherNames are further names of fibres, as labels in clothes have them.
var otherNames = map[string]Fibre{"linen": Flax, "flax": Flax, "rayon": Viscose, "modal": Viscose, "lyocell": Viscose, "bamboo": Viscose,
	"nylon": Polyamide, "polyamid": Polyamide, "spandex": Elastane, "poly": Polyester, "polyester": Polyester}

const (
	blendHint = "such as 60 % cotton, 40 % polyester"
	maxFibres = 6
)

// ParseBlend reads what a cloth is made of: "cotton", or fibres with their shares, which add
// up to 100 %: "60 % cotton, 40 % polyester", "cotton 95%; elastane 5%".
func ParseBlend(typed string) (Blend, error) {
	items := strings.FieldsFunc(typed, func(r rune) bool { return r == ',' || r == ';' || r == '/' || r == '+' || r == '\n' })
	if len(items) == 0 || len(items) > maxFibres {
		return nil, fault.New(fault.Input, "%q is not what a cloth is made of", typed).WithHint("%s", blendHint)
	}
	var b Blend
	total := 0.0
	for _, item := range items {
		name, share, err := parsePart(item)
		if err != nil {
			return nil, err
		}
		if share == 0 {
			if len(items) > 1 {
				return nil, fault.New(fault.Input, "%q has no share", strings.TrimSpace(item)).WithHint("%s", blendHint)
			}
			share = 1
		}
		for _, p := range b {
			if p.Fibre == name {
				return nil, fault.New(fault.Input, "%q is listed twice", strings.TrimSpace(item)).WithHint("%s", blendHint)
			}
		}
		b, total = append(b, FibrePart{name, unit.Share(share)}), total+share
	}
	if math.Abs(total-1) > 0.005 {
		return nil, fault.New(fault.Input, "the shares in %q are %s together, not 100 %%", typed, unit.Show(unit.KindShare, total, unit.Style{})).WithHint("%s", blendHint)
	}
	return b, nil
}

// parsePart reads one fibre with its share before or after it; 0 where it has none.
func parsePart(item string) (Fibre, float64, error) {
	share, name := 0.0, strings.TrimSpace(item)
	if i := strings.IndexAny(name, "0123456789"); i >= 0 {
		end := i + strings.LastIndexAny(name[i:], "0123456789%") + 1
		v, err := unit.Parse(unit.KindShare, strings.TrimSuffix(strings.TrimSpace(name[i:end]), "%")+"%")
		if err != nil || v <= 0 || v > 1 {
			return "", 0, fault.New(fault.Input, "%q is not a share of a cloth", item).WithHint("%s", blendHint)
		}
		share, name = v, strings.TrimSpace(name[:i]+name[end:])
	}
	lower := strings.ToLower(name)
	for _, info := range Fibres() {
		if string(info.Fibre) == lower || info.Words == lower {
			return info.Fibre, share, nil
		}
	}
	if f, ok := otherNames[lower]; ok {
		return f, share, nil
	}
	return "", 0, fault.New(fault.Input, "%q is not a fibre coldbatch knows", name).WithHint("cotton, linen, viscose, silk, wool, polyester, polyamide, elastane …")
}

// DyeableShare is the share of the cloth that takes the dye in a soda-ash cure.
func (b Blend) DyeableShare() (share unit.Share) {
	for _, p := range b {
		if info, ok := p.Fibre.Info(); ok && info.Affinity == AffinityDyes {
			share += p.Share
		}
	}
	return share
}

// HarmedFibre names the fibre that soda ash harms; it is empty where there is none.
func (b Blend) HarmedFibre() Fibre {
	for _, p := range b {
		if info, ok := p.Fibre.Info(); ok && info.Affinity == AffinityNeedsOtherBath {
			return p.Fibre
		}
	}
	return ""
}

// BlendDepth is the source of how deep a blend looks.
var BlendDepth = provenance.Source{Reliability: provenance.Judgement,
	Text: "judgement: only the cellulose takes the dye, so the depth is about its share; that polyester seams stay white is common practice, no source"}

// DyeingNote says in one sentence how the cloth comes out; it is empty for cloth that takes the dye as
// cotton does.
func (b Blend) DyeingNote() string {
	if f := b.HarmedFibre(); f != "" {
		info, _ := f.Info()
		if len(b) == 1 { // what it is made of stands before it
			return adviceAnimalFibre
		}
		return info.Words + ": " + adviceAnimalFibre
	}
	share := float64(b.DyeableShare())
	const almost = 0.999
	switch {
	case share >= almost:
		return ""
	case share >= 0.9:
		return "nearly the full depth; seams and elastic stay paler"
	case share >= 0.7:
		return "three quarters of the depth, a little heathered; seams stay white"
	case share >= 0.42:
		return "half the depth, heathered; seams stay white"
	case share >= 0.28:
		return "a third of the depth, heathered; seams stay white"
	case share > 0.05:
		return "a faint, heathered colour; seams stay white"
	}
	return "takes hardly any dye: it stays nearly white"
}

// Words names the fibres: "60 % cotton, 40 % polyester"; "cotton" for one.
func (b Blend) Words() string {
	var parts []string
	for _, p := range b {
		words := string(p.Fibre)
		if info, ok := p.Fibre.Info(); ok && !strings.Contains(info.Words, ",") {
			words = info.Words
		}
		if len(b) > 1 {
			words = unit.Show(unit.KindShare, float64(p.Share), unit.Style{}) + " " + words
		}
		parts = append(parts, words)
	}
	return strings.Join(parts, ", ")
}
