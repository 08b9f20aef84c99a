package calc

import (
	"strings"
	"testing"
)

// An answer cites the sources that it uses, and no others.
func TestAnswerCitesSources(t *testing.T) {
	const (
		bulk    = "memory: data sheets of producers of soda ash: bulk density"
		exact   = "published: NIST Handbook 44"
		custom  = "memory: the customs of each country"
		model   = "memory: Plummer and Busenberg 1982 for the constants; activity model from memory"
		rates   = "published: Lu Zonglu"
		judged  = "judgement: judgement: a model, from rates that were read"
		clings  = "judgement: judgement, no source for the figure; that dyes differ" // of rinse
		weights = "published: molar masses"
	)
	for _, row := range []struct {
		why, calculator, inputs string // key=value, separated by |
		want, not               string
	}{
		{"a cup is exact, what it weighs is not", "convert", "quantity=1 cup|to=g|of=light-ash", bulk, exact},
		{"a cup alone is", "convert", "quantity=1 cup|to=mL", exact, bulk},
		{"degrees of hardness are customs", "convert", "quantity=178.5 mg/L|to=°dH", custom, exact},
		{"also where they are typed", "convert", "quantity=10 °fH|to=ppm", custom, exact},
		{"grains are exact", "convert", "quantity=7 grains|to=ppm", exact, custom},
		{"soda by the spoon", "soak", "water=10 L|soda=2 cups", bulk, weights},
		{"soda by weight", "soak", "water=10 L|soda=500 g", weights, bulk},
		{"the pH of a soak is a model from memory", "soak", "water=10 L", model, ""},
		{"and so is what a check goes by", "bath-check", "measured=11", model, ""},
		{"hardness by weight", "water", "hardness=200 mg/L|volume=1 L", "", custom},
		{"hardness in degrees", "water", "hardness=12 °dH|volume=1 L", custom, ""},
		{"the chemistry of a cure", "cure", "class=dichlorotriazine|temperature=21 °C", judged, ""},
		{"and its rates", "cure", "class=dichlorotriazine|temperature=21 °C", rates, ""},
		{"what is left of mixed dye", "keep", "class=dichlorotriazine|age=40 min|alkali=yes", judged, ""},
		{"no model without soda ash", "keep", "class=dichlorotriazine|age=40 min", "", rates},
		{"dye that clings", "rinse", "goods=1 kg|bath=20 L", clings, ""},
		{"alkali does not", "rinse", "goods=1 kg|bath=20 L|clings=not", "", clings},
	} {
		inputs := map[string]string{}
		for _, in := range strings.Split(row.inputs, "|") {
			key, value, _ := strings.Cut(in, "=")
			inputs[key] = value
		}
		r, err := Run(row.calculator, inputs, cureEnv)
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		var all strings.Builder
		for _, s := range r.Sources {
			all.WriteString(string(s.Reliability) + ": " + s.Text + "\n")
		}
		if !strings.Contains(all.String(), row.want) {
			t.Errorf("%s: %q is not cited in\n%s", row.why, row.want, all.String())
		}
		if row.not != "" && strings.Contains(all.String(), row.not) {
			t.Errorf("%s: %q is cited in\n%s", row.why, row.not, all.String())
		}
	}
}

// What a check of a soak says besides its verdict.
func TestCheckText(t *testing.T) {
	for _, row := range []struct{ why, c, warm, measured, want, not string }{
		{"within what is checked", "50 g/L", "25 °C", "11.6", "fresh", "extrapolated"},
		{"weak", "1 g/L", "25 °C", "11", "extrapolated", "soda ash: stop"},
		{"hot", "50 g/L", "50 °C", "11", "extrapolated", ""},
		{"above what is extrapolated", "1 g/L", "25 °C", "11.9", "do not use it until you have read on the jar", "a strip can't tell"},
		{"more than cold water holds", "200 g/L", "5 °C", "11.6", "cannot hold that much: the check assumes 92.1 g/L", ""},
		{"what pH cannot see, beside fresh", "50 g/L", "25 °C", "11.6", "pH does not show dilution: a bath thinned to 20 g/L still reads pH 11.5", ""},
		{"nothing of dilution beside spent", "50 g/L", "25 °C", "9.5", "spent: make a new one", "dilution:"},
	} {
		r, err := Run("bath-check", map[string]string{"concentration": row.c, "temperature": row.warm, "measured": row.measured, "with": "meter"}, Env{})
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		text := strings.Join(strings.Fields(Text(r)), " ")
		if !strings.Contains(text, row.want) || row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: want %q and not %q in\n%s", row.why, row.want, row.not, text)
		}
	}
}
