package unit

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// near says whether a and b agree to the last few bits; NaN never does.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

// The sizes of US units against the published table, which must say where it is
// from.
func TestUSCustomary(t *testing.T) {
	f, err := os.Open("../../testdata/ref/us-customary.tsv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	header, rows := "", 0
	for s := bufio.NewScanner(f); s.Scan(); {
		line := s.Text()
		if strings.HasPrefix(line, "#") {
			header += line + "\n"
			continue
		}
		cell := strings.Split(line, "\t")
		if cell[0] == "written" {
			continue
		}
		want, err := strconv.ParseFloat(cell[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		rows++
		if got, err := Parse(Kind(cell[1]), cell[0]); err != nil || got != want {
			t.Errorf("%s: %v, %v; want %v exactly", cell[0], got, err, want)
		}
	}
	if !strings.Contains(header, "# source: NIST") || !strings.Contains(header, "# units:") || rows != 12 {
		t.Errorf("%d rows under the header\n%s", rows, header)
	}
}

func TestParse(t *testing.T) {
	for _, row := range []struct {
		kind  Kind
		typed string
		want  float64
		why   string
	}{
		{KindVolume, "32 fl oz", 32 * 29.5735295625, "a unit of two words"},
		{KindVolume, "32 fl. oz.", 32 * 29.5735295625, "abbreviated with full stops"},
		{KindVolume, "1 US gal", 3785.411784, "the system named"},
		{KindVolume, "1/4 cup", 236.5882365 / 4, "a fraction"},
		{KindVolume, "1 1/2 tsp", 1.5 * 4.92892159375, "a mixed number"},
		{KindVolume, "1-1/2 tsp", 1.5 * 4.92892159375, "a mixed number joined by a hyphen"},
		{KindVolume, "½ gal", 3785.411784 / 2, "a fraction character"},
		{KindVolume, "1½ cups", 1.5 * 236.5882365, "a mixed number with a fraction character, a plural"},
		{KindVolume, "2⅔ cups", (2 + 2./3) * 236.5882365, "thirds"},
		{KindVolume, "1⁄2 cup", 236.5882365 / 2, "the fraction slash U+2044"},
		{KindVolume, "2 tablespoons", 2 * 14.78676478125, "spelled, plural"},
		{KindVolume, "3 Quarts", 3 * 946.352946, "capital"},
		{KindVolume, "250mL", 250, "no space"},
		{KindVolume, "250 ML", 250, "capitals"},
		{KindVolume, "1.2 litres", 1200, "spelled, British"},
		{KindVolume, "1.2 liters", 1200, "spelled, American"},
		{KindVolume, "500 µL", 0.5, "micro sign U+00B5"},
		{KindVolume, "500 μL", 0.5, "Greek mu U+03BC"},
		{KindVolume, "1 cup 2 tbsp", 236.5882365 + 2*14.78676478125, "a sum"},
		{KindVolume, "1 cup + 2 tbsp", 236.5882365 + 2*14.78676478125, "a sum with its sign"},
		{KindVolume, ".5 L", 500, "no digit before the point"},
		{KindVolume, "+5 mL", 5, "a plus sign"},
		{KindMass, "2,5 kg", 2500, "decimal comma"},
		{KindMass, "2,50 kg", 2500, "decimal comma, two digits"},
		{KindMass, "2,5000 kg", 2500, "decimal comma, four digits: no one groups so"},
		{KindMass, "2.025 g", 2.025, "three digits after a point are decimals"},
		{KindMass, "1 lb 4 oz", 453.59237 + 4*28.349523125, "a sum"},
		{KindMass, "1 lb and 4 oz", 453.59237 + 4*28.349523125, "a sum in words"},
		{KindMass, "0 g", 0, "nothing is an amount"},
		{KindMass, "14.4\u00a0g", 14.4, "no-break space"},
		{KindMass, "14.4\u202fg", 14.4, "narrow no-break space"},
		{KindMass, "１４．４ｇ", 14.4, "full width"},
		{KindMass, "  5 ounces ", 5 * 28.349523125, "spaces around"},
		{KindMass, "200 mg", 0.2, "small"},
		{KindConcentration, "20 g/L", 20, "plain"},
		{KindConcentration, "20 g / l", 20, "spaces at the stroke"},
		{KindConcentration, "50 g per litre", 50, "words, no number below"},
		{KindConcentration, "6.2 g per 8 fl oz", 6.2 / (8 * 29.5735295625) * 1000, "a recipe's way: number below"},
		{KindConcentration, "7.5 g/250 mL", 30, "number below after a stroke"},
		{KindConcentration, "6 g/1/2 cup", 6 / (236.5882365 / 2) * 1000, "a fraction below"},
		{KindConcentration, "100 mg/L", 0.1, "hardness"},
		{KindConcentration, "1 lb 4 oz per gal", (453.59237 + 4*28.349523125) / 3785.411784 * 1000, "a sum above"},
		{KindTemperature, "70F", (70. - 32) * 5 / 9, "glued"},
		{KindTemperature, "70 °F", (70. - 32) * 5 / 9, "sign"},
		{KindTemperature, "21 °C", 21, "sign"},
		{KindTemperature, "21C", 21, "glued"},
		{KindTemperature, "21 º C", 21, "masculine ordinal for the degree sign, apart"},
		{KindTemperature, "21℃", 21, "one character"},
		{KindTemperature, "21 degrees Celsius", 21, "spelled"},
		{KindTemperature, "-3 °C", -3, "hyphen"},
		{KindTemperature, "−3 °C", -3, "minus sign U+2212"},
		{KindTemperature, "-40 °F", -40, "the sign goes with the number written: −40 is the same on both scales"},
		{KindTemperature, "212 °F", 100, "boiling"},
		{KindTemperature, "-273.15 °C", -273.15, "the bound itself"},
		{KindTemperature, "-459.67 °F", -273.15, "the bound itself"},
		{KindTemperatureDifference, "1.5 °C", 1.5, "no zero is moved"},
		{KindTemperatureDifference, "9 °F", 5, "no zero is moved"},
		{KindTemperatureDifference, "2 K", 2, "kelvin"},
		{KindDuration, "5 h 30 min", 19800, "a sum"},
		{KindDuration, "5h30m", 19800, "glued"},
		{KindDuration, "90 min", 5400, "more than an hour"},
		{KindDuration, "2:30", 9000, "hours and minutes"},
		{KindDuration, "2 days 3 hours", 183600, "spelled"},
		{KindDuration, "45 s", 45, "seconds"},
		{KindShare, "15 %", 0.15, "per cent"},
		{KindShare, "15%", 0.15, "glued"},
		{KindShare, "15 per cent", 0.15, "spelled"},
		{KindShare, "0.15", 0.15, "a ratio"},
		{KindShare, "0,15", 0.15, "a ratio with a comma"},
		{KindShare, "1/3", 1. / 3, "a fraction"},
		{KindShare, "2", 2, "twice"},
		{KindShare, "4.99", 4.99, "below the bound for ratios"},
		{KindShare, "-5 %", -0.05, "a share may be a deviation"},
		{KindShare, "5 %", 0.05, "the sign tells"},
		{KindPH, "pH 11.4", 11.4, "named"},
		{KindPH, "ph11,4", 11.4, "named, glued"},
		{KindPH, "11.4", 11.4, "no unit"},
		{KindPH, "0", 0, "the bound itself"},
		{KindPH, "14", 14, "the bound itself"},
		{KindCount, "6", 6, "no unit"},
		{KindCount, "6 pieces", 6, "named"},
		{KindArea, "0.9 m²", 0.9, "raised"},
		{KindArea, "0.9 m^2", 0.9, "typed"},
		{KindArea, "10 square feet", 0.9290304, "spelled, irregular plural"},
		{KindAreaDensity, "180 g/m2", 180, "plain"},
		{KindAreaDensity, "180 gsm", 180, "as the trade writes"},
		{KindAreaDensity, "5 oz/yd2", 5 * 28.349523125 / 0.83612736, "US"},
		{KindAreaDensity, "5 oz per sq yd", 5 * 28.349523125 / 0.83612736, "US, words"},
		{KindFlow, "6 L/min", 6, "a tap"},
		{KindFlow, "10 L per 90 s", 10. / 1.5, "a bucket under the tap"},
		{KindFlow, "1.5 gal/min", 1.5 * 3.785411784, "a tap"},
		{KindSpecificVolume, "2.2 L/kg", 2.2, "plain"},
		{KindSpecificVolume, "2.2 mL/g", 2.2, "the same"},
		{KindMass, "100 grains", 6.479891, "spelled: NIST Handbook 44, Appendix C"},
		{KindHardness, "120 mg/L", 120, "plain"},
		{KindHardness, "120 ppm", 120, "as a water report writes"},
		{KindHardness, "0.12 g per L", 120, "any mass over any volume"},
		{KindHardness, "7 grains/gal", 7 * 64798.91 / 3785.411784, "a mass over a volume"},
		{KindHardness, "7 gpg", 7 * 64798.91 / 3785.411784, "the same, abbreviated"},
		{KindHardness, "1.5 mmol/L", 150.1305, "millimoles of CaCO3, 100.087 mg each (IUPAC standard atomic weights)"},
		{KindHardness, "7 grains", 7 * 64798.91 / 3785.411784, "the same, as a softener says"},
		{KindHardness, "8 °dH", 80 * 100.087 / 56.077, "German degrees"},
		{KindHardness, "8 ° dH", 80 * 100.087 / 56.077, "the sign apart"},
		{KindHardness, "8dH", 80 * 100.087 / 56.077, "without the sign"},
		{KindHardness, "14 °f", 140, "French degrees, no temperature here"},
		{KindHardness, "14 French degrees", 140, "spelled"},
		{KindHardness, "10 °Clark", 10 * 64798.91 / 4546.09, "grains per imperial gallon"},
		{KindNumber, "12,50", 12.5, "a price with a comma"},
		{KindNumber, "3", 3, "no unit"},
	} {
		got, err := Parse(row.kind, row.typed)
		if err != nil || !near(got, row.want) {
			t.Errorf("%s %q (%s): %v, %v; want %v", row.kind, row.typed, row.why, got, err, row.want)
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, row := range []struct {
		kind  Kind
		typed string
		says  string // a part of the sentence
	}{
		{KindMass, "", "it is empty"},
		{KindMass, "6.2 bananas", `"bananas" is not a known unit (at character 5)`},
		{KindMass, "about 5 g", `a number is missing before "about"`},
		{KindMass, "g", `a number is missing before "g"`},
		{KindMass, "250", "a unit is missing"},
		{KindMass, "-5 g", "cannot be less than zero"},
		{KindMass, "2,500 g", "(2.500) or one of thousands (2500)"},
		{KindMass, "0,125 g", "(0.125) or one of thousands (125)"},
		{KindMass, "1,000,000 g", "comma"},
		{KindMass, "1,234.5 g", "comma"},
		{KindMass, "1.234,5 g", `cannot be followed by ","`},
		{KindMass, "2 500 g", "a unit is missing"},
		{KindMass, "1e3 g", "without an exponent"},
		{KindMass, "1e+3 g", "without an exponent"},
		{KindMass, "5-10 g", "not a range"},
		{KindMass, "5 g - 10 g", "not a range"},
		{KindMass, "4 oz 1 lb", "the larger unit comes first"},
		{KindMass, "4 oz 4 oz", "the larger unit comes first"},
		{KindMass, "5 g and", "a number is missing"},
		{KindMass, "5 fl oz", "fl oz is a unit of a volume, not of a mass"},
		{KindMass, "5 gr", "grain"},
		{KindMass, "1 1/0 oz", "divided by zero"},
		{KindMass, "1 3/2 oz", "must be below one"},
		{KindMass, "1/2/3 oz", `cannot be followed by "/"`},
		{KindMass, "5. g", `cannot be followed by "."`},
		{KindMass, "NaN g", "a number is missing"},
		{KindMass, "Inf g", "a number is missing"},
		{KindMass, "∞ g", "does not belong in it"},
		{KindMass, "999999999999 kg", "more than anyone measures"},
		{KindMass, strings.Repeat("9", 79) + "g", "more than anyone measures"},
		{KindMass, strings.Repeat("1", 100) + " g", "longer than 80"},
		{KindMass, strings.Repeat("1", 1<<20), "longer than 80"},
		{KindMass, "5 g extra", `"extra" cannot follow the unit`},
		{KindMass, "2:30", "only a length of time is written with a colon"},
		{KindMass, "5 g/L", `"/" cannot follow the unit`},
		{KindVolume, "8 oz", "write fl oz"},
		{KindVolume, "2 T", "write tbsp"},
		{KindVolume, "2 t", "write tsp"},
		{KindVolume, "1 c", "write cup"},
		{KindVolume, "1 imp gal", "imperial"},
		{KindVolume, "1 l 2 l", "the larger unit comes first"},
		{KindConcentration, "6 g", "write a mass per volume"},
		{KindConcentration, "6 g per 8 oz", "write fl oz"},
		{KindConcentration, "6 g per 0 mL", "divided by zero"},
		{KindConcentration, "20 mL/L", "not of a mass"},
		{KindConcentration, "20 %", "a unit of a share"},
		{KindConcentration, "-20 g/L", "less than zero"},
		{KindConcentration, "20 g/", "a number is missing"},
		{KindTemperature, "21", "21 °C (70 °F) or 21 °F (−6 °C)"},
		{KindTemperature, "21°", "it could be °C or °F"},
		{KindTemperature, "21 degrees", "it could be °C or °F"},
		{KindTemperature, "-273.2 °C", "nothing is colder"},
		{KindTemperature, "-460 °F", "nothing is colder"},
		{KindTemperature, "21 g", "g is a unit of a mass"},
		{KindDuration, "2:3", "two digits of minutes"},
		{KindDuration, "2:60", "two digits of minutes"},
		{KindDuration, "5", "a unit is missing"},
		{KindDuration, "-5 h", "less than zero"},
		{KindShare, "15", "15 % or 1500 %"},
		{KindShare, "5", "5 % or 500 %"},
		{KindPH, "14.1", "from 0 to 14"},
		{KindPH, "-1", "less than zero"},
		{KindCount, "2.5", "not a whole number"},
		{KindCount, "-2", "less than zero"},
		{KindAreaDensity, "5 oz", "write a mass per area"},
		{KindHardness, "120", "a unit is missing"},
		{KindHardness, "8 °C", "°C is a unit of a temperature"},
		{KindHardness, "-8 °dH", "less than zero"},
		{KindNumber, "12 g", "g is a unit of a mass"},
		{KindNumber, "-1", "less than zero"},
		{KindNumber, "1,234", "one of thousands"},
		{"length", "5 m", "not a kind of quantity"},
	} {
		v, err := Parse(row.kind, row.typed)
		f := fault.AsFault(err)
		if err == nil || f.Code != fault.Input || !strings.Contains(f.Sentence, row.says) || v != 0 {
			t.Errorf("%s %.90q: %v, %v; should say %q", row.kind, row.typed, v, err, row.says)
			continue
		}
		if len([]rune(row.typed)) <= maxLength && f.Typed != row.typed {
			t.Errorf("%q: Typed is %q", row.typed, f.Typed)
		}
		if len(f.Sentence) > 600 || kindInfos[row.kind].base != "" && !strings.Contains(f.Hint, "such as") {
			t.Errorf("%.90q: sentence or hint is no use: %v", row.typed, err)
		}
	}
}

func TestParseAny(t *testing.T) {
	either := []Kind{KindMass, KindVolume}
	for typed, want := range map[string]Kind{"1 cup": KindVolume, "250 g": KindMass, "4 oz": KindMass, "4 fl oz": KindVolume} {
		if k, _, err := ParseAny(either, typed); err != nil || k != want {
			t.Errorf("%s: %s, %v", typed, k, err)
		}
	}
	_, _, err := ParseAny(either, "3 h")
	if f := fault.AsFault(err); !strings.Contains(f.Sentence, "a mass or a volume") || !strings.Contains(f.Hint, "a volume such as") {
		t.Errorf("all kinds are to be named: %v", err)
	}
	// a mistake in the number counts more than the unit of the other kind
	if _, _, err = ParseAny(either, "2,500 mL"); !strings.Contains(err.Error(), "comma") {
		t.Error(err)
	}
	if _, _, err = ParseAny(either, "-2 mL"); !strings.Contains(err.Error(), "less than zero") {
		t.Error(err)
	}
	if _, _, err := ParseAny(nil, "3 h"); !fault.Is(err, fault.Input) {
		t.Error(err)
	}
}

func TestRead(t *testing.T) {
	if m, err := ParseAs[Mass](KindMass, "2 lb"); err != nil || m != 907.18474 {
		t.Error(m, err)
	}
}

func TestSplitList(t *testing.T) {
	if got := strings.Join(SplitList(" a; b 1,5 ;; ;c"), "|"); got != "a|b 1,5|c" {
		t.Error(got)
	}
	if SplitList(" ; ") != nil {
		t.Error("nothing")
	}
}
