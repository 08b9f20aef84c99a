package unit

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/reftest"
)

func TestIn(t *testing.T) {
	for _, row := range []struct {
		kind Kind
		v    float64
		to   string
		want float64
		why  string
	}{
		{KindVolume, 236.5882365, "fl oz", 8, "NIST Handbook 44, Appendix C: a cup is 8 fl oz"},
		{KindVolume, 3785.411784, "L", 3.785411784, "the same: a gallon"},
		{KindMass, 453.59237, "oz", 16, "the same: a pound"},
		{KindTemperature, 100, "°F", 212, "a scale that begins elsewhere"},
		{KindTemperature, -40, "F", -40, "where both scales meet"},
		{KindTemperature, 21, "°C", 21, "the base unit"},
		{KindConcentration, 20, "g per 8 fl oz", 20 * 0.2365882365, "a quotient with a number below"},
		{KindHardness, 178.48, "°dH", 9.99996, "a degree of hardness"},
		{KindAreaDensity, 33.9057, "oz/yd2", 1, "33.906 g/m² (NIST SP 811, appendix B.8)"},
	} {
		got, err := ConvertTo(row.kind, row.v, row.to)
		if err != nil || math.Abs(got-row.want) > 1e-5*math.Abs(row.want) {
			t.Errorf("%g %s in %s (%s): %g, %v; want %g", row.v, row.kind, row.to, row.why, got, err, row.want)
		}
	}
	for _, bad := range []string{"", " ", "g", "5 mL", "1/2 cup", "½ cup", "pt 4 oz", "bananas", "/L", "-L", "\x00", "mL mL", "cup and"} {
		if got, err := ConvertTo(KindVolume, 250, bad); !fault.Is(err, fault.Input) || got != 0 {
			t.Errorf("250 mL in %q: %g, %v", bad, got, err)
		}
	}
	if _, err := ConvertTo(KindVolume, math.NaN(), "mL"); !fault.Is(err, fault.Input) {
		t.Errorf("not a number: %v", err)
	}
}

// What is converted reads as what it was.
func TestInReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(namedUnits).Draw(t, "unit")
		v := drawValue(t, m.kind)
		if m.kind == KindCount {
			return
		}
		to, _, _ := strings.Cut(m.names, ",")
		x, err := ConvertTo(m.kind, v, to)
		if len(ambiguousSpellings[to]) > 0 {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		one, _ := parseNumber(m.kind, "1", to)
		none, _ := parseNumber(m.kind, "0", to)
		if back := none + x*(one-none); math.Abs(back-v) > 1e-9*math.Max(1, math.Abs(v)) {
			t.Fatalf("%g %s is %g %s is %g", v, BaseUnit(m.kind), x, to, back)
		}
	})
}

func TestWritten(t *testing.T) {
	for _, row := range []struct {
		v     float64
		style Style
		want  string
	}{
		{236.588, Style{}, "236.588"}, {236.588, Style{Comma: true}, "236,5880"}, {0.0352740, Style{Comma: true}, "0,035274"},
		{-40, Style{}, "−40"}, {math.Inf(1), Style{}, "–"},
	} {
		if got := ShowExact(row.v, row.style); got != row.want {
			t.Errorf("%g: %q, want %q", row.v, got, row.want)
		}
	}
}

// The degrees of hardness and handbook conversions, from the tables.
func TestTables(t *testing.T) {
	for _, row := range reftest.Load(t, "hardness.tsv") {
		want := row.Number(t, "mg_per_litre")
		if got, err := Parse(KindHardness, row["written"]); err != nil || math.Abs(got-want) > 0.006 {
			t.Errorf("%s is %g, %v; want %g", row["written"], got, err, want)
		}
	}
	for _, row := range reftest.Load(t, "conversions.tsv") {
		k, v, err := ParseAny([]Kind{KindVolume, KindMass, KindArea, KindAreaDensity, KindTemperature}, row["quantity"])
		if err != nil {
			t.Fatal(err)
		}
		want := row.Number(t, "value")
		if got, err := ConvertTo(k, v, row["to"]); err != nil || math.Abs(got-want) > want*row.Number(t, "within") {
			t.Errorf("%s is %g %s, %v; want %g", row["quantity"], got, row["to"], err, want)
		}
	}
}
