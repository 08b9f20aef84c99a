package unit

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestShow(t *testing.T) {
	m, u, c := Style{}, Style{System: US}, Style{Comma: true}
	for _, row := range []struct {
		kind  Kind
		v     float64
		style Style
		want  string
		why   string
	}{
		{KindMass, 1.55, m, "1.55 g", "what a pocket scale shows"},
		{KindMass, 2.025, m, "2.03 g", "a tie goes up, though 2.025 in binary is a little less"},
		{KindMass, 2.025, c, "2,03 g", "decimal comma"},
		{KindMass, 4.5, m, "4.5 g", "no idle zeros"},
		{KindMass, 0.004, m, "0 g", "the scale shows nothing"},
		{KindMass, -0.004, m, "0 g", "no minus before zero"},
		{KindMass, -1.5, m, "−1.5 g", "a difference of two masses"},
		{KindMass, 9.994, m, "9.99 g", "below the next step"},
		{KindMass, 9.996, m, "10 g", "up to the next step"},
		{KindMass, 999.4, m, "999 g", "below a kilogram"},
		{KindMass, 999.6, m, "1 kg", "rounds to a kilogram"},
		{KindMass, 1234, m, "1.23 kg", "no third digit, which after a comma would be doubtful"},
		{KindMass, 12345, m, "12.3 kg", "a bathroom scale"},
		{KindMass, 28.3, u, "28.3 g", "lighter than an ounce"},
		{KindMass, 113.398, u, "4 oz", "ounces"},
		{KindMass, 453.5, u, "1 lb", "15.997 oz is a pound"},
		{KindMass, 567, u, "1 lb 4 oz", "pounds and ounces"},
		{KindMass, 5000, u, "11 lb", "pounds"},
		{KindVolume, 60, m, "60 mL", "a jug"},
		{KindVolume, 1.55, m, "1.6 mL", "a syringe"},
		{KindVolume, 0.25, m, "0.25 mL", "a small syringe"},
		{KindVolume, 1200, m, "1.2 L", "litres"},
		{KindVolume, 60, u, "2 fl oz", "fluid ounces"},
		{KindVolume, 250, u, "8½ fl oz", "a cup's marks"},
		{KindVolume, 7.4, u, "1½ tsp", "spoons"},
		{KindVolume, 5, u, "1 tsp", "a metric spoon"},
		{KindVolume, 4.92892159375, u, "1 tsp", "just a teaspoon: printed 4.9 mL once"},
		{KindVolume, 3.7, u, "3.7 mL", "less than a teaspoon: a syringe"},
		{KindVolume, 18927, u, "5 gal", "a bucket"},
		{KindTemperature, 21, m, "21 °C", "plain"},
		{KindTemperature, 18.54, m, "18.5 °C", "a tenth"},
		{KindTemperature, -3, m, "−3 °C", "frost"},
		{KindTemperature, 21, u, "70 °F", "Fahrenheit"},
		{KindTemperature, -20, u, "−4 °F", "below zero there"},
		{KindTemperature, -3, u, "27 °F", "below zero here only"},
		{KindTemperatureDifference, 1.5, m, "1.5 °C", "a difference"},
		{KindTemperatureDifference, 1.5, u, "2.7 °F", "a difference has no 32"},
		{KindConcentration, 20, m, "20 g/L", "plain"},
		{KindConcentration, 0.08, m, "80 mg/L", "hardness"},
		{KindConcentration, 26.2, u, "6.2 g per 8 fl oz", "a recipe's way"},
		{KindDuration, 86400, m, "24 h", "hours, not a day"},
		{KindDuration, 19800, m, "5 h 30 min", "mixed"},
		{KindDuration, 90, m, "90 s", "seconds"},
		{KindDuration, 2400, m, "40 min", "minutes"},
		{KindDuration, 3599, m, "1 h", "rounds to an hour"},
		{KindDuration, 432000, m, "120 h", "some days, in hours as a dyer counts"},
		{KindDuration, 1e6, m, "11 days 14 h", "many days"},
		{KindDuration, -5400, m, "−1 h 30 min", "too early by"},
		{KindShare, 0.12, m, "12 %", "per cent"},
		{KindShare, 0.1111, m, "11.1 %", "a tenth"},
		{KindShare, 0.001, m, "0.1 %", "small"},
		{KindShare, 1.1, m, "110 %", "pick-up"},
		{KindPH, 11.62, m, "pH 11.6", "named before"},
		{KindPH, 11.62, c, "pH 11,6", "named before"},
		{KindCount, 3, m, "3", "pieces"},
		{KindArea, 0.9, m, "0.9 m²", "a shirt"},
		{KindArea, 0.0625, m, "625 cm²", "a swatch"},
		{KindArea, 0.9, u, "9.7 sq ft", "a shirt"},
		{KindAreaDensity, 180, m, "180 g/m²", "jersey"},
		{KindAreaDensity, 180, u, "5.3 oz/yd²", "jersey"},
		{KindFlow, 6, m, "6 L/min", "a kitchen tap"},
		{KindFlow, 6, u, "1.6 gal/min", "a kitchen tap"},
		{KindSpecificVolume, 2.2, u, "2.2 L/kg", "no other system has it"},
		{KindHardness, 119.8, m, "120 mg/L", "a strip shows no tenths"},
		{KindHardness, 119.8, u, "7 gpg", "as softeners are set"},
		{KindNumber, 12.345, m, "12.35", "hundredths"},
		{KindMass, math.NaN(), m, "–", "no number"},
		{KindMass, math.Inf(1), m, "–", "no number"},
		{KindMass, 1e12, m, "–", "beyond"},
	} {
		if got := Show(row.kind, row.v, row.style); got != row.want {
			t.Errorf("%s %v (%s): %q, want %q", row.kind, row.v, row.why, got, row.want)
		}
	}
}

func TestOther(t *testing.T) {
	m, u := Style{}, Style{System: US}
	for _, row := range []struct {
		kind  Kind
		v     float64
		style Style
		want  string
	}{
		{KindVolume, 60, m, "2 fl oz"},
		{KindVolume, 60, u, "60 mL"},
		{KindMass, 1.55, m, ""}, // no scale in ounces shows it
		{KindTemperature, 21, m, "70 °F"},
		{KindDuration, 3600, m, ""},
		{KindPH, 11, m, ""},
		{KindVolume, math.NaN(), m, ""},
	} {
		if got := ShowInOther(row.kind, row.v, row.style); got != row.want {
			t.Errorf("%s %v: %q, want %q", row.kind, row.v, got, row.want)
		}
	}
}

func TestRanged(t *testing.T) {
	m, u := Style{}, Style{System: US}
	for _, row := range []struct {
		kind      Kind
		low, high float64
		style     Style
		want      string
	}{
		{KindDuration, 20.4 * 3600, 28.7 * 3600, m, "20–29 h"},
		{KindDuration, 5.5 * 3600, 7 * 3600, m, "5 h 30 min – 7 h"},
		{KindDuration, 2400, 3300, m, "40–55 min"},
		{KindMass, 135, 154, m, "135–154 g"},
		{KindMass, 154, 135, m, "135–154 g"}, // the order does not matter
		{KindMass, 5, 5.001, m, "5 g"},       // both ends print alike
		{KindMass, 500, 567, u, "1 lb 1.6 oz – 1 lb 4 oz"},
		{KindVolume, 900, 1200, m, "0.9–1.2 L"},
		{KindVolume, 5, 1200, m, "5 mL – 1.2 L"},
		{KindPH, 11.2, 11.6, m, "pH 11.2–11.6"},
		{KindTemperature, -3, 2, m, "−3 °C to 2 °C"},
		{KindShare, 0.05, 0.2, m, "5–20 %"},
		{KindCount, 5, 6, m, "5–6"},
		{KindMass, 1, math.Inf(1), m, "–"},
	} {
		if got := ShowRange(row.kind, row.low, row.high, row.style); got != row.want {
			t.Errorf("%s %v to %v: %q, want %q", row.kind, row.low, row.high, got, row.want)
		}
	}
}

func TestUnit(t *testing.T) {
	for k, want := range map[Kind]string{
		KindMass: "g", KindVolume: "mL", KindTemperature: "°C", KindTemperatureDifference: "K", KindConcentration: "g/L", KindDuration: "s", KindShare: "1",
		KindPH: "pH", KindCount: "1", KindArea: "m²", KindAreaDensity: "g/m²", KindSpecificVolume: "L/kg", KindHardness: "mg/L", KindFlow: "L/min", KindNumber: "1", "length": "",
	} {
		if got := BaseUnit(k); got != want {
			t.Errorf("%s: %q, want %q", k, got, want)
		}
	}
}

var everyKind = []Kind{KindMass, KindVolume, KindTemperature, KindTemperatureDifference, KindConcentration, KindDuration, KindShare, KindPH, KindCount, KindArea, KindAreaDensity, KindSpecificVolume, KindHardness, KindFlow, KindNumber}

var everyStyle = []Style{{}, {Comma: true}, {System: US}, {System: US, Comma: true}}

// shownTolerance is the most by which what Show prints of v may differ from it: half a
// step that is shown, and the tie.
func shownTolerance(k Kind, v float64, s Style) float64 {
	r := displayStepFor(k, shiftZero(k, v, s.System), s)
	return r.size*r.step*0.5*(1+1e-9) + 1e-9*math.Abs(v)
}

// roundTrip checks that what Show prints is read back to within what it shows,
// and that it then prints the same.
func roundTrip(t interface {
	Helper()
	Fatalf(string, ...any)
}, k Kind, v float64, s Style) {
	t.Helper()
	shown := Show(k, v, s)
	back, err := Parse(k, shown)
	if err != nil {
		t.Fatalf("%s %v prints %q, which is not read: %v", k, v, shown, err)
	}
	if off := math.Abs(back - v); !(off <= shownTolerance(k, v, s)) {
		t.Fatalf("%s %v prints %q, which is %v: off by %v, more than %v", k, v, shown, back, off, shownTolerance(k, v, s))
	}
	if again := Show(k, back, s); again != shown {
		t.Fatalf("%s %v prints %q, then %q", k, v, shown, again)
	}
}

// drawValue draws a value that Parse may give for k, of any size.
func drawValue(t *rapid.T, k Kind) float64 {
	switch k {
	case KindPH:
		return rapid.Float64Range(0, 14).Draw(t, "ph")
	case KindCount:
		return float64(rapid.IntRange(0, 10000).Draw(t, "count"))
	case KindTemperature:
		return rapid.Float64Range(-270, 1000).Draw(t, "temperature")
	}
	v := math.Pow(10, rapid.Float64Range(-4, 9).Draw(t, "size"))
	if kindInfos[k].canBeNegative && rapid.Bool().Draw(t, "negative") {
		v = -v
	}
	return v
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(everyKind).Draw(t, "kind")
		roundTrip(t, k, drawValue(t, k), rapid.SampledFrom(everyStyle).Draw(t, "style"))
	})
}

// Rounding twice is rounding once, goes up with the value, and is off by no more
// than half of what is shown.
func TestRound(t *testing.T) {
	for _, row := range []struct {
		kind    Kind
		v, want float64
	}{
		{KindMass, 2.025, 2.03}, {KindMass, 12.345, 12.3}, {KindMass, 123.45, 123}, {KindMass, 1234.5, 1230}, {KindMass, -2.025, -2.03},
		{KindVolume, 59.147, 59}, {KindTemperature, 21.1111, 21.1}, {KindShare, 0.11111, 0.111}, {KindPH, 11.66, 11.7}, {KindDuration, 7230, 7260},
		{KindMass, math.NaN(), 0}, {KindMass, math.Inf(-1), 0}, {"length", 3, 0}, {KindMass, -1e-9, 0},
	} {
		if got := Round(row.kind, row.v); got != row.want || math.Signbit(got) && got == 0 {
			t.Errorf("%s %v: %v, want %v", row.kind, row.v, got, row.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(everyKind).Draw(t, "kind")
		v := drawValue(t, k)
		once := Round(k, v)
		if twice := Round(k, once); twice != once {
			t.Fatalf("%s %v: once %v, twice %v", k, v, once, twice)
		}
		if off := math.Abs(once - v); off > shownTolerance(k, v, Style{}) {
			t.Fatalf("%s %v: %v is off by %v", k, v, once, off)
		}
		if more := v + math.Abs(v)*rapid.Float64Range(0, 1).Draw(t, "more"); Round(k, more) < once {
			t.Fatalf("%s: %v rounds to %v, but %v to %v", k, v, once, more, Round(k, more))
		}
		if shown, rounded := Show(k, v, Style{}), Show(k, once, Style{}); shown != rounded {
			t.Fatalf("%s %v: prints %q, rounded %q", k, v, shown, rounded)
		}
	})
}

// A quantity is the same however it is split into units that are added up.
func TestSumsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lb, oz := rapid.IntRange(0, 50).Draw(t, "lb"), rapid.IntRange(0, 15).Draw(t, "oz")
		m := float64(lb)*pound + float64(oz)*ounce
		got, err := Parse(KindMass, formatDecimal(float64(lb), Style{})+" lb "+formatDecimal(float64(oz), Style{})+" oz")
		if err != nil || !near(got, m) {
			t.Fatalf("%v, %v; want %v", got, err, m)
		}
	})
}

func TestConcentrationIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, v := Mass(rapid.Float64Range(0.01, 1e5).Draw(t, "m")), Volume(rapid.Float64Range(0.01, 1e6).Draw(t, "v"))
		if back := GramsPerLitre(m, v).MassIn(v); !near(float64(back), float64(m)) {
			t.Fatalf("%v, want %v", back, m)
		}
	})
	if GramsPerLitre(5, 0) != 0 || Hours(2).Minutes() != 120 || Minutes(90).Hours() != 1.5 {
		t.Error("no volume, hours or minutes")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"32 fl oz", "1 1/2 tsp", "½ gal", "2,5 kg", "2,500 g", "6.2 g per 8 fl oz", "7.5 g/250 mL", "70F", "5 h 30 min", "1 lb 4 oz", "2:30",
		"15 %", "pH 11.4", "180 g/m2", "−3 °C", "21 ° C", "1e3 g", "1-1/2 cups", "℃", "5%%", "1/", "/", "1 lb and", "\xff g", "5 g\x00", "700000000000"} {
		for i := range everyKind {
			f.Add(s, i, i)
		}
	}
	f.Fuzz(func(t *testing.T, typed string, kind, style int) {
		k := everyKind[uint(kind)%uint(len(everyKind))]
		v, err := Parse(k, typed)
		if err != nil {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%s %q: %v", k, typed, v)
		}
		roundTrip(t, k, v, everyStyle[uint(style)%uint(len(everyStyle))])
	})
}
