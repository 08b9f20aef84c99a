package label

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
	"pgregory.net/rapid"
)

// sampleBagLabel is a usual label: 24 h with a range of 20 to 29 h, three colours.
func sampleBagLabel() Label {
	closed := instantOfMinutes(epochMinutes + 700_000)
	return Label{
		Number: 12, Token: Token{1, 2, 3, 4, 5, 6, 7, 8},
		ClosedAt: closed, OffsetSeconds: 2 * 3600,
		ReadyAt: closed.Add(24 * zone.Hour), EarliestReady: closed.Add(20 * zone.Hour), LatestReady: closed.Add(29 * zone.Hour),
		Celsius: 21, ClassCode: ClassDichlorotriazine, PieceCode: 3, FoldCode: 7,
		Colours: []Colour{{CapLetters: "A", RGB: [3]uint8{187, 85, 34}, ShareSixteenths: 8}, {CapLetters: "B", RGB: [3]uint8{238, 187, 0}, ShareSixteenths: 5}, {CapLetters: "C", RGB: [3]uint8{0, 119, 136}, ShareSixteenths: 3}},
	}
}

// sampleBlankLabel is a numbered blank.
func sampleBlankLabel() Label {
	return Label{Number: 40, IsBlank: true, Token: Token{9, 8, 7, 6, 5, 4, 3, 2}}
}

// The size of a code rules the size of the print.
func TestLengths(t *testing.T) {
	eight := sampleBagLabel()
	for len(eight.Colours) < 8 {
		eight.Colours = append(eight.Colours, eight.Colours[0])
	}
	worst := eight
	worst.NextOffsetSeconds, worst.NextOffsetFrom = 3600, instantOfMinutes(minutesSince1970(eight.ClosedAt)/15*15+15)
	worst.Colours = append([]Colour{{CapLetters: "ZZ", RGB: [3]uint8{}, ShareSixteenths: 1}}, eight.Colours[1:]...)
	six := equalShares(eight, 1)
	six.Colours = six.Colours[:6]
	for i := range six.Colours {
		six.Colours[i].ShareSixteenths = 3
	}
	none := sampleBagLabel()
	none.Colours = nil
	for _, row := range []struct {
		why  string
		l    Label
		want int
	}{
		{"a blank is the shortest", sampleBlankLabel(), minCodeChars},
		{"no colours: 36 + 70 + 64 + 16 bits", none, 38},
		{"three colours", sampleBagLabel(), 50},
		{"eight colours: 354 bits", eight, 71},
		{"eight with two letters and a change of clocks: 413 bits", worst, 83},
		{"eight in equal shares: 323 bits", equalShares(eight, 1), 65},
		{"six in equal shares, 16/6 rounded to 3 each: 186 + 1 + 6·17 bits", six, 58},
		{"eight with two letters in equal shares: 363 bits", equalShares(eight, 2), 73},
		{"the tag of a piece: a blank and 5 bits", Label{Number: 7, IsBlank: true, IsPieceTag: true}, 21},
	} {
		if code := mustEncode(t, row.l); len(code) != row.want {
			t.Errorf("%s: %d characters, want %d", row.why, len(code), row.want)
		}
	}
	for _, row := range []struct {
		why  string
		l    Label
		most int
	}{
		{"eight colours, each with a share of its own", eight, 102},
		{"eight colours in equal shares, caps of two letters", equalShares(eight, 2), 108},
	} {
		if a := Address("coldbatch.local:8443", mustEncode(t, row.l)); len(a) > row.most {
			t.Errorf("%s: an address of %d characters, want %d at most", row.why, len(a), row.most)
		}
	}
}

// equalShares returns l in equal shares, with caps of so many letters.
func equalShares(l Label, caps int) Label {
	l.Colours = append([]Colour(nil), l.Colours...)
	for i := range l.Colours {
		l.Colours[i].ShareSixteenths, l.Colours[i].CapLetters = equalShare(len(l.Colours)), strings.Repeat("A", caps)
	}
	return l
}

func TestEncodeRefuses(t *testing.T) {
	for _, row := range []struct {
		why    string
		spoil  func(*Label)
		naming string
	}{
		{"a number of eleven bits", func(l *Label) { l.Number = 1024 }, "1024"},
		{"a negative number", func(l *Label) { l.Number = -1 }, "-1"},
		{"a letter that looks like a digit", func(l *Label) { l.Letter = "O" }, `"O"`},
		{"two letters, which occur in Letters side by side", func(l *Label) { l.Letter = "AB" }, `"AB"`},
		{"a lower-case letter", func(l *Label) { l.Letter = "h" }, `"h"`},
		{"a letter without its number", func(l *Label) { l.Number, l.Letter = 0, "H" }, "needs a number"},
		{"closed before the count begins", func(l *Label) { l.ClosedAt = instantOfMinutes(epochMinutes) }, "closing time"},
		{"closed after the count ends", func(l *Label) { l.ClosedAt = instantOfMinutes(epochMinutes + maxClosed + 1) }, "closing time"},
		{"ready without being closed", func(l *Label) { l.ClosedAt = 0 }, "ready before it is closed"},
		{"ready in the minute of closing", func(l *Label) { l.ReadyAt = l.ClosedAt + 59_999 }, "ready before it is closed"},
		{"early after ready", func(l *Label) { l.EarliestReady = l.ReadyAt.Add(zone.Minute) }, "early"},
		{"early before closing", func(l *Label) { l.EarliestReady = l.ClosedAt - 1 }, "early"},
		{"late before ready", func(l *Label) { l.LatestReady = l.ReadyAt - 1 }, "late"},
		{"an offset between quarter hours", func(l *Label) { l.OffsetSeconds = 1234 }, "1234"},
		{"an offset west of the last zone", func(l *Label) { l.OffsetSeconds = -49 * 900 }, "-49"},
		{"an offset east of the last zone", func(l *Label) { l.OffsetSeconds = 57 * 900 }, "57"},
		{"a change of clocks before closing", func(l *Label) { l.NextOffsetFrom = l.ClosedAt.Add(-zone.Hour) }, "change of clocks"},
		{"a change of clocks off the quarter hour", func(l *Label) { l.NextOffsetFrom = instantOfMinutes(minutesSince1970(l.ClosedAt)/15*15 + 61) }, "change of clocks"},
		{"a change of clocks too far off", func(l *Label) { l.NextOffsetFrom = instantOfMinutes((minutesSince1970(l.ClosedAt)/15 + 4096) * 15) }, "change of clocks"},
		{"a next offset between quarter hours", func(l *Label) {
			l.NextOffsetFrom, l.NextOffsetSeconds = instantOfMinutes(minutesSince1970(l.ClosedAt)/15*15+60), 1
		}, "offset 1 s"},
		{"too hot", func(l *Label) { l.Celsius = 107.75 }, "107.75"},
		{"too cold", func(l *Label) { l.Celsius = -20.5 }, "-20.5"},
		{"no number for a temperature", func(l *Label) { l.Celsius = math.NaN() }, "NaN"},
		{"an endless temperature", func(l *Label) { l.Celsius = math.Inf(1) }, "Inf"},
		{"a class of three bits", func(l *Label) { l.ClassCode = 4 }, "class 4"},
		{"a piece of five bits", func(l *Label) { l.PieceCode = 16 }, "16"},
		{"a fold of six bits", func(l *Label) { l.FoldCode = 32 }, "32"},
		{"nine colours", func(l *Label) { l.Colours = make([]Colour, 9) }, "9"},
		{"a colour without caps", func(l *Label) { l.Colours[0].CapLetters = "" }, `""`},
		{"caps of three letters", func(l *Label) { l.Colours[0].CapLetters = "ABC" }, `"ABC"`},
		{"caps in lower case", func(l *Label) { l.Colours[0].CapLetters = "a" }, `"a"`},
		{"caps outside ASCII", func(l *Label) { l.Colours[0].CapLetters = "É" }, `"É"`},
		{"no share", func(l *Label) { l.Colours[0].ShareSixteenths = 0 }, "0"},
		{"more than the whole", func(l *Label) { l.Colours[0].ShareSixteenths = 17 }, "17"},
		{"a blank with a closing time", func(l *Label) { *l = Label{Number: 1, IsBlank: true, ClosedAt: l.ClosedAt} }, "blank"},
		{"a blank with a colour", func(l *Label) { *l = Label{Number: 1, IsBlank: true, Colours: l.Colours} }, "blank"},
		{"a tag that is no blank", func(l *Label) { l.IsPieceTag = true }, "tag of a piece"},
		{"the tag of a piece with a fold", func(l *Label) { *l = Label{Number: 1, IsBlank: true, IsPieceTag: true, FoldCode: 1} }, "blank"},
		{"a blank without a number", func(l *Label) { *l = Label{IsBlank: true} }, "needs a number"},
	} {
		l := sampleBagLabel()
		row.spoil(&l)
		code, err := Encode(l)
		if !fault.Is(err, fault.Input) || code != "" || !strings.Contains(err.Error(), row.naming) {
			t.Errorf("%s: %q, %v; want a refusal naming %s", row.why, code, err, row.naming)
		}
	}
}

// The bounds that are just inside, and what is kept of what does not fit.
func TestEncodeKeeps(t *testing.T) {
	for _, row := range []struct {
		why        string
		set, after func(*Label)
	}{
		{"the highest number and the last letter", func(l *Label) { l.Number, l.Letter = 1023, "Z" }, nil},
		{"no number", func(l *Label) { l.Number = 0 }, nil},
		{"not closed: goods and colours alone", func(l *Label) { l.ClosedAt, l.ReadyAt, l.EarliestReady, l.LatestReady = 0, 0, 0, 0 }, nil},
		{"no time can be given", func(l *Label) { l.ReadyAt, l.EarliestReady, l.LatestReady = 0, 0, 0 }, nil},
		{"a range without a middle says nothing", func(l *Label) { l.ReadyAt = 0 }, func(l *Label) { l.ReadyAt, l.EarliestReady, l.LatestReady = 0, 0, 0 }},
		{"a late figure that counts nothing", func(l *Label) { l.LatestReady = 0 }, nil},
		{"an early figure that is not given", func(l *Label) { l.EarliestReady = 0 }, nil},
		{"late just within four times", func(l *Label) { l.LatestReady = l.ReadyAt.Add(24 * zone.Hour * 254 / 64) }, nil},
		{"late beyond four times is too far off", func(l *Label) { l.LatestReady = l.ReadyAt.Add(24*zone.Hour*254/64 + zone.Minute) }, func(l *Label) { l.LatestReady = 0 }},
		{"early at closing says nothing", func(l *Label) { l.EarliestReady = l.ClosedAt }, func(l *Label) { l.EarliestReady = 0 }},
		{"a range without width", func(l *Label) { l.EarliestReady, l.LatestReady = l.ReadyAt, l.ReadyAt }, nil},
		{"ready at the last minute that fits", func(l *Label) { l.ReadyAt, l.EarliestReady, l.LatestReady = l.ClosedAt.Add(maxReady*zone.Minute), 0, 0 }, nil},
		{"ready a minute later is no time", func(l *Label) {
			l.ReadyAt, l.EarliestReady, l.LatestReady = l.ClosedAt.Add((maxReady+1)*zone.Minute), l.ReadyAt, 0
		}, func(l *Label) { l.ReadyAt, l.EarliestReady, l.LatestReady = 0, 0, 0 }},
		{"the first closing time", func(l *Label) {
			l.ClosedAt, l.ReadyAt, l.EarliestReady, l.LatestReady = instantOfMinutes(epochMinutes+1), 0, 0, 0
		}, nil},
		{"the last closing time", func(l *Label) {
			l.ClosedAt, l.ReadyAt, l.EarliestReady, l.LatestReady = instantOfMinutes(epochMinutes+maxClosed), 0, 0, 0
		}, nil},
		{"seconds are cut off as a clock does", func(l *Label) { l.ClosedAt += 59_999; l.ReadyAt += 59_999 }, func(l *Label) { *l = sampleBagLabel() }},
		{"the first zone", func(l *Label) { l.OffsetSeconds = -12 * 3600 }, nil},
		{"the last zone", func(l *Label) { l.OffsetSeconds = 14 * 3600 }, nil},
		{"a zone on a quarter hour", func(l *Label) { l.OffsetSeconds = 45900 }, nil},
		{"a change of clocks in the next quarter hour", func(l *Label) {
			l.NextOffsetSeconds, l.NextOffsetFrom = 3600, instantOfMinutes(minutesSince1970(l.ClosedAt)/15*15+15)
		}, nil},
		{"the coldest", func(l *Label) { l.Celsius = -20 }, nil},
		{"the hottest", func(l *Label) { l.Celsius = 107.5 }, nil},
		{"a temperature to half a degree", func(l *Label) { l.Celsius = 18.3 }, func(l *Label) { l.Celsius = 18.5 }},
		{"colours in sixteen steps", func(l *Label) { l.Colours[0].RGB = [3]uint8{8, 9, 254} }, func(l *Label) { l.Colours[0].RGB = [3]uint8{0, 17, 255} }},
		{"caps of one letter and of two", func(l *Label) { l.Colours[1].CapLetters = "ZA" }, nil},
		{"no colours", func(l *Label) { l.Colours = nil }, nil},
		{"a blank", func(l *Label) { *l = sampleBlankLabel() }, nil},
		{"equal shares", func(l *Label) { *l = equalShares(*l, 1) }, nil},
		{"equal shares of two with two letters, the clocks change", func(l *Label) {
			l.Colours = l.Colours[:2]
			*l = equalShares(*l, 2)
			l.NextOffsetSeconds, l.NextOffsetFrom = 3600, instantOfMinutes(minutesSince1970(l.ClosedAt)/15*15+15)
		}, nil},
		{"names are not written unasked", func(l *Label) { l.Colours[0].Name = "rust" }, func(l *Label) { l.Colours[0].Name = "" }},
		{"the tag of a piece", func(l *Label) { *l = sampleBlankLabel(); l.IsPieceTag = true }, nil},
		{"a blank of a phone without a lease", func(l *Label) { *l = sampleBlankLabel(); l.Letter = "H" }, nil},
	} {
		l := sampleBagLabel()
		row.set(&l)
		got, err := Decode(mustEncode(t, l))
		want := roundOutward(l)
		if row.after != nil {
			row.after(&want)
			want = roundOutward(want)
		}
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n got %+v, %v\nwant %+v", row.why, got, err, want)
		}
	}
}

// roundOutward rounds the range of l as Label says it is kept, reckoned in another
// way than the code: by trying each number of parts.
func roundOutward(l Label) Label {
	after := minutesSince1970(l.ReadyAt) - minutesSince1970(l.ClosedAt)
	for k := int64(0); l.ReadyAt != 0 && l.EarliestReady != 0; k++ {
		if e := l.ReadyAt.Add(-zone.Span(k*after/64) * zone.Minute); e <= l.EarliestReady {
			l.EarliestReady = e
			break
		}
	}
	for k := int64(0); l.ReadyAt != 0 && l.LatestReady != 0; k++ {
		if e := l.ReadyAt.Add(zone.Span(k*after/64) * zone.Minute); e >= l.LatestReady {
			l.LatestReady = e
			break
		}
	}
	return l
}

// Degrees Fahrenheit are printed whole, and must come back from half degrees
// Celsius as they went in.
func TestWholeFahrenheitComesBack(t *testing.T) {
	for f := -4.0; f <= 225; f++ {
		l := sampleBagLabel()
		l.Celsius = (f - 32) / 1.8
		got, err := Decode(mustEncode(t, l))
		if err != nil || math.Round(got.Celsius*1.8+32) != f {
			t.Errorf("%g °F comes back as %g °C, %v", f, got.Celsius, err)
		}
	}
}

func TestZone(t *testing.T) {
	l := sampleBagLabel()
	l.NextOffsetSeconds, l.NextOffsetFrom = 3600, instantOfMinutes(minutesSince1970(l.ClosedAt)/15*15+600)
	z := l.Zone()
	for _, row := range []struct {
		why  string
		at   zone.Instant
		want int
	}{
		{"at closing", l.ClosedAt, 7200},
		{"before closing nothing else is known", l.ClosedAt - 1, 7200},
		{"a millisecond before the change", l.NextOffsetFrom - 1, 7200},
		{"from the change on", l.NextOffsetFrom, 3600},
		{"when it is ready", l.ReadyAt, 3600},
	} {
		if got := z.Offset(row.at); got != row.want {
			t.Errorf("%s: %d, want %d", row.why, got, row.want)
		}
	}
}

func TestEncodeDecodeIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLabel(t)
		code := mustEncode(t, l)
		got, err := Decode(code)
		if err != nil {
			t.Fatalf("%s: %v", code, err)
		}
		if got.EarliestReady != 0 && got.EarliestReady > l.EarliestReady || got.LatestReady != 0 && got.LatestReady < l.LatestReady {
			t.Fatalf("the range narrowed: %+v became %+v", l, got)
		}
		if got.LatestReady == 0 && l.LatestReady != 0 && l.LatestReady.Sub(l.ReadyAt) <= 3*l.ReadyAt.Sub(l.ClosedAt) {
			t.Fatalf("a late time within reach was lost: %+v", l)
		}
		// But for the ends of the range the draw is what a label keeps.
		want := l
		want.EarliestReady, want.LatestReady = got.EarliestReady, got.LatestReady
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%+v became %+v", want, got)
		}
		if again := mustEncode(t, got); again != code {
			t.Fatalf("%s reads and writes as %s", code, again)
		}
		if lower, err := Decode(strings.ToLower(code)); err != nil || !reflect.DeepEqual(lower, got) {
			t.Fatalf("in lower case %+v, %v", lower, err)
		}
	})
}

func drawLabel(t *rapid.T) Label {
	number := func(name string, least, most int) int { return rapid.IntRange(least, most).Draw(t, name) }
	l := Label{Number: number("number", 1, 1023), Token: drawToken(t), IsBlank: rapid.Bool().Draw(t, "blank")}
	if rapid.Bool().Draw(t, "has letter") {
		l.Letter = string(Letters[number("letter", 0, len(Letters)-1)])
	}
	if l.IsBlank {
		l.IsPieceTag = rapid.Bool().Draw(t, "tag")
		return l
	}
	l.OffsetSeconds = number("offset", -48, 56) * 900
	l.Celsius = float64(number("half degrees", -40, 215)) / 2
	l.ClassCode, l.PieceCode, l.FoldCode = number("class", 0, 3), number("piece", 0, 15), number("fold", 0, 31)
	if rapid.Bool().Draw(t, "closed") {
		closed := number("closing minute", 1, maxClosed)
		l.ClosedAt = instantOfMinutes(epochMinutes + int64(closed))
		if after := number("ready", 0, maxReady); after > 0 {
			l.ReadyAt = l.ClosedAt.Add(zone.Span(after) * zone.Minute)
			l.EarliestReady = l.ReadyAt.Add(-zone.Span(number("early", 0, after)) * zone.Minute)
			l.LatestReady = l.ReadyAt.Add(zone.Span(number("late", 0, 5*after)) * zone.Minute)
		}
		if rapid.Bool().Draw(t, "changes") {
			l.NextOffsetSeconds = number("next offset", -48, 56) * 900
			l.NextOffsetFrom = instantOfMinutes((minutesSince1970(l.ClosedAt)/15 + int64(number("change", 1, maxQuarters))) * 15)
		}
	}
	for range number("colours", 0, MaxColours) {
		c := Colour{CapLetters: rapid.StringMatching(`[A-Z]{1,2}`).Draw(t, "caps"), ShareSixteenths: number("share", 1, 16)}
		for i := range c.RGB {
			c.RGB[i] = uint8(17 * number("channel", 0, 15))
		}
		l.Colours = append(l.Colours, c)
	}
	if len(l.Colours) > 0 && rapid.Bool().Draw(t, "equal") {
		for i := range l.Colours {
			l.Colours[i].ShareSixteenths = equalShare(len(l.Colours))
		}
	}
	return l
}

func mustEncode(t interface {
	Helper()
	Fatalf(string, ...any)
}, l Label) string {
	t.Helper()
	code, err := Encode(l)
	if err != nil {
		t.Fatalf("%+v: %v", l, err)
	}
	return code
}
