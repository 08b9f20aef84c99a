package calc

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func TestConvertTable(t *testing.T) {
	for _, row := range reftest.Load(t, "conversions.tsv") {
		r, err := Run("convert", map[string]string{"quantity": row["quantity"], "to": row["to"]}, Env{})
		if err != nil {
			t.Fatal(err)
		}
		want := row.Number(t, "value")
		if got := r.Outputs["value"]; got.Unit != row["to"] || math.Abs(got.Value.(float64)-want) > want*5e-6 {
			t.Errorf("%s is %v %s, want %g %s", row["quantity"], got.Value, got.Unit, want, row["to"])
		}
	}
}

func TestConvertText(t *testing.T) {
	for _, row := range []struct{ quantity, to, of, want string }{
		{"1 cup", "mL", "", "236.588 mL"},
		{"1 cup", "g", "light-ash", "about 144 g (135–154)"},
		{"1 g", "oz", "", "0.035274 oz"},
		{"100 kg", "g", "", "100000 g"},
	} {
		r, err := Run("convert", map[string]string{"quantity": row.quantity, "to": row.to, "of": row.of}, Env{})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Outputs["value"].Text; got != row.want {
			t.Errorf("%s is told as %q, want %q", row.quantity, got, row.want)
		}
	}
	_, err := Run("convert", map[string]string{"quantity": "1 tsp", "to": "g", "of": "dye"}, Env{})
	if err == nil || !strings.Contains(err.Error(), "weigh") {
		t.Errorf("dye by the spoon: %v", err)
	}
}

// There and back is where it began, to the six digits of an answer.
func TestConvertBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pair := rapid.SampledFrom([][2]string{{"g", "oz"}, {"mL", "cups"}, {"L", "gal"}, {"g/L", "g per 8 fl oz"}, {"mg/L", "°dH"}, {"°C", "°F"}, {"m2", "sq ft"}}).Draw(t, "units")
		v := rapid.IntRange(1, 100000).Draw(t, "v")
		there, err := Run("convert", map[string]string{"quantity": unit.ShowExact(float64(v), unit.Style{}) + " " + pair[0], "to": pair[1]}, Env{})
		if err != nil {
			t.Fatal(err)
		}
		back, err := Run("convert", map[string]string{"quantity": there.Outputs["value"].Text, "to": pair[0]}, Env{})
		if err != nil {
			t.Fatal(err)
		}
		if got := back.Outputs["value"].Value.(float64); math.Abs(got-float64(v)) > 1e-5*float64(v)+2e-4 {
			t.Fatalf("%d %s is %s is %g", v, pair[0], there.Outputs["value"].Text, got)
		}
	})
}
