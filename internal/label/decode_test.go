package label

import (
	"encoding/json"
	"math/rand"
	"os"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// appendCRC closes a body of bits as Encode does, so that a test can write what
// Encode refuses to.
func appendCRC(b bitString) string {
	b = append(bitString(nil), b...)
	for (len(b)+crcBits)%5 != 0 {
		b.put(0, 1)
	}
	b.put(uint64(b.crc()), crcBits)
	return b.text()
}

// codeBits returns the bits of a code without its sum, and without n bits before it.
func codeBits(code string, n int) bitString {
	b := bitsFromText(code)
	return b[:len(b)-crcBits-n]
}

// Codes that were printed are read for ever: a row here is never changed, only
// added to.
func TestFrozenCodes(t *testing.T) {
	data, err := os.ReadFile("../../testdata/vec/label.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows []struct {
		Why   string     `json:"why"`
		Code  string     `json:"code"`
		Fault fault.Code `json:"fault"`
		Label Label      `json:"label"`
	}
	if err := json.Unmarshal(data, &rows); err != nil {
		t.Fatal(err)
	}
	if len(rows) < 10 {
		t.Fatalf("%d rows alone", len(rows))
	}
	for _, row := range rows {
		got, err := Decode(row.Code)
		if (err == nil) != (row.Fault == "") || err != nil && !fault.Is(err, row.Fault) {
			t.Errorf("%s: %v, want fault %q", row.Why, err, row.Fault)
		}
		if !reflect.DeepEqual(got, row.Label) {
			t.Errorf("%s:\n got %+v\nwant %+v", row.Why, got, row.Label)
		}
		if err != nil {
			continue
		}
		code := mustEncode(t, got)
		if back, err := Decode(code); err != nil || !reflect.DeepEqual(back, got) {
			t.Errorf("%s: writes as %s, which reads as\n%+v, %v", row.Why, code, back, err)
		}
	}
}

// A CRC of 16 bits finds every burst of up to 16: any one character, any two
// neighbours. Cutting and adding must be found too.
func TestHarmedCodesAreRefused(t *testing.T) {
	for _, l := range []Label{sampleBagLabel(), sampleBlankLabel()} {
		code := mustEncode(t, l)
		for i := range code {
			for _, c := range []byte(base32Alphabet) {
				if bad := code[:i] + string(c) + code[i+1:]; bad != code {
					requireRefused(t, "one character changed", bad)
				}
			}
			if i > 0 && code[i] != code[i-1] {
				requireRefused(t, "two neighbours swapped", code[:i-1]+code[i:i+1]+code[i-1:i]+code[i+1:])
			}
			requireRefused(t, "cut short", code[:i])
			requireRefused(t, "its start lost", code[i+1:])
		}
		requireRefused(t, "one character more", code+"0")
		requireRefused(t, "printed twice over", code+code)
	}
}

func TestForeignCodesAreRefused(t *testing.T) {
	for why, code := range map[string]string{
		"nothing":                      "",
		"zeros":                        strings.Repeat("0", 40),
		"words":                        "THEQUICKBROWNFOXJUMPSOVERTHELAZYDOG",
		"another program's address":    "HTTPS://EXAMPLE.ORG/B/0123456789ABCDEFGHJK",
		"a sign outside the alphabet":  mustEncode(t, sampleBagLabel())[:49] + "U",
		"white space":                  mustEncode(t, sampleBagLabel()) + " ",
		"longer than any code":         strings.Repeat("0", 100_000),
		"a letter outside the bytes":   strings.Repeat("é", 20),
		"characters that are not text": strings.Repeat("\xff", 40),
	} {
		requireRefused(t, why, code)
	}
	// Of noise of the right kind one in 65,536 passes the sum alone; version,
	// ranges and padding leave still fewer.
	r := rand.New(rand.NewSource(1))
	passed := 0
	for range 20_000 {
		code := make([]byte, 20+r.Intn(60))
		for i := range code {
			code[i] = base32Alphabet[r.Intn(32)]
		}
		if _, err := Decode(string(code)); err == nil {
			passed++
		}
	}
	if passed > 2 {
		t.Errorf("%d of 20,000 random codes were taken", passed)
	}
}

// Each code here has a right sum and one thing that no label has.
func TestFieldsOutOfRangeAreRefused(t *testing.T) {
	set := func(l Label, at, n int, v uint64) bitString {
		code := mustEncode(t, l)
		pad := (len(codeBits(code, 0)) - 131 - 39 - 63) // three colours
		if l.IsBlank {
			pad = 0
		}
		b := append(bitString(nil), codeBits(code, pad)...)
		var field bitString
		field.put(v, n)
		copy(b[at:], field)
		return b
	}
	const offsetAt, readyAt, earlyAt, coloursAt, pairsAt, firstCap = 109, 116, 131, 164, 169, 170
	if got, err := Decode(appendCRC(set(sampleBagLabel(), 5, 10, 12))); err != nil || got.Number != 12 {
		t.Fatalf("the label before it is spoilt: %+v, %v", got, err)
	}
	still := sampleBagLabel()
	still.ClosedAt, still.ReadyAt, still.EarliestReady, still.LatestReady = 0, 0, 0, 0
	pair := sampleBagLabel()
	pair.Colours = pair.Colours[:1]
	pair.Colours[0].CapLetters = "AB"
	padded := codeBits(mustEncode(t, sampleBagLabel()), 0)
	padded = append(bitString(nil), padded...)
	padded[len(padded)-1] = 1
	for _, row := range []struct {
		why string
		b   bitString
	}{
		{"version 0", set(sampleBagLabel(), 0, 4, 0)},
		{"a letter after Z", set(sampleBagLabel(), 15, 5, 25)},
		{"a letter without a number", append(set(sampleBagLabel(), 5, 10, 0)[:15], set(sampleBagLabel(), 15, 5, 3)[15:]...)},
		{"a blank without a number", set(sampleBlankLabel(), 5, 10, 0)},
		{"a blank with more behind", append(set(sampleBlankLabel(), 4, 1, 1), make(bitString, 5)...)},
		{"an offset east of the last zone", set(sampleBagLabel(), offsetAt, 7, 105)},
		{"ready but not closed", set(still, readyAt, 15, 1)},
		{"early without ready", set(still, earlyAt, 6, 1)},
		{"nine colours, of which six are missing", set(sampleBagLabel(), coloursAt, 4, 9)},
		{"a colour fewer than there are", set(sampleBagLabel(), coloursAt, 4, 2)},
		{"a colour more than there are", set(sampleBagLabel(), coloursAt, 4, 4)},
		{"a change of clocks that is not there", set(sampleBagLabel(), pairsAt-1, 1, 1)},
		{"a cap letter after Z", set(sampleBagLabel(), firstCap, 5, 26)},
		{"two letters said, one given", set(sampleBagLabel(), pairsAt, 1, 1)},
		{"padding that is not zero", padded},
		{"a whole character of padding", append(append(bitString(nil), codeBits(mustEncode(t, sampleBagLabel()), 0)...), make(bitString, 5)...)},
	} {
		requireRefused(t, row.why, appendCRC(row.b))
	}
	good := codeBits(mustEncode(t, pair), 0)
	for _, row := range []struct {
		why      string
		at, n, v int
	}{
		{"no first letter", firstCap, 5, 0},
		{"a first letter after Z", firstCap, 5, 27},
		{"a second letter after Z", firstCap + 5, 5, 27},
		{"two letters said, the second none", firstCap + 5, 5, 0},
	} {
		b := append(bitString(nil), good...)
		var field bitString
		field.put(uint64(row.v), row.n)
		copy(b[row.at:], field)
		requireRefused(t, row.why, appendCRC(b))
	}
}

// A newer label says its number, letter, token and time to an older program,
// whatever follows them; a blank's body may be followed too.
func TestNewerLabelSaysNumberAndTime(t *testing.T) {
	for _, l := range []Label{sampleBagLabel(), sampleBlankLabel()} {
		l.Letter = "H"
		fixed := 131
		if l.IsBlank {
			fixed = 84
		}
		want := Label{Number: l.Number, Letter: "H", IsBlank: l.IsBlank, Token: l.Token, ClosedAt: l.ClosedAt, OffsetSeconds: l.OffsetSeconds, ReadyAt: l.ReadyAt}
		for _, tail := range []int{0, 3, 100, 300} {
			for _, v := range []uint64{3, 15} {
				b := append(bitString(nil), codeBits(mustEncode(t, l), 0)[:fixed]...)
				for i := range tail {
					b = append(b, byte(i%3)&1)
				}
				var head bitString
				head.put(v, 4)
				copy(b, head)
				code := appendCRC(b)
				got, err := Decode(code)
				if !fault.Is(err, fault.Newer) || !reflect.DeepEqual(got, want) {
					t.Errorf("version %d with %d bits more: %+v, %v; want %+v", v, tail, got, err, want)
				}
				if f := fault.AsFault(err); !strings.Contains(f.Hint, "update the app") {
					t.Errorf("the fault does not say what to do: %v", f)
				}
			}
		}
	}
	short := append(bitString(nil), codeBits(mustEncode(t, sampleBagLabel()), 0)[:100]...)
	short[2], short[3] = 1, 0
	requireRefused(t, "a newer version without its fixed fields", appendCRC(short))
}

func requireRefused(t *testing.T, why, code string) {
	t.Helper()
	l, err := Decode(code)
	if !fault.Is(err, fault.Input) || !reflect.DeepEqual(l, Label{}) {
		t.Errorf("%s: %.90q gives %+v, %v; want a refusal", why, code, l, err)
	}
}

// Read, write, read again: what is read from one code is the same after it was
// written and read once more. The sum is mended, so that fields are reached.
func FuzzDecode(f *testing.F) {
	l := sampleBagLabel()
	l.NextOffsetSeconds, l.NextOffsetFrom = 3600, instantOfMinutes(minutesSince1970(l.ClosedAt)/15*15+600)
	named := equalShares(l, 2)
	named.Colours[1].Name = "blue-green"
	for _, l := range []Label{sampleBagLabel(), sampleBlankLabel(), l, {}, named, {Number: 7, IsBlank: true, IsPieceTag: true}} {
		code, err := encode(l, maxCodeChars)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(code)
	}
	f.Add("")
	f.Add("HTTPS://COLDBATCH.LOCAL:8443/B/")
	f.Fuzz(func(t *testing.T, code string) {
		requireRoundTrip(t, code)
		if isCode(code) {
			requireRoundTrip(t, appendCRC(codeBits(code, 0)))
		}
	})
}

func requireRoundTrip(t *testing.T, code string) {
	l, err := Decode(code)
	if err != nil {
		return
	}
	second, err := encode(l, maxCodeChars)
	if err != nil {
		t.Fatalf("%q reads as %+v, which does not write: %v", code, l, err)
	}
	back, err := Decode(second)
	if err != nil || !reflect.DeepEqual(back, l) {
		t.Errorf("%q reads as\n%+v, writes as %q, reads as\n%+v, %v", code, l, second, back, err)
	}
}
