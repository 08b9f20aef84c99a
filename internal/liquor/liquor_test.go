package liquor

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// Worked by hand from the balance; no outside table exists.
func TestVolume(t *testing.T) {
	for _, row := range []struct {
		why  string
		need LiquorNeed
		want float64
	}{
		{"a kilogram, wrung by hand: 1.1 L, and 15 % lost", LiquorNeed{1000, HeldShares{1.1, 2.2}, 1, 0.15}, 1265},
		{"spun: 1.6 L", LiquorNeed{1000, HeldShares{0.6, 2.2}, 1, 0.15}, 1840},
		{"half of the cloth stays white", LiquorNeed{1000, HeldShares{1.1, 2.2}, 0.5, 0}, 550},
		{"full already", LiquorNeed{1000, HeldShares{2.2, 2.2}, 1, 0.15}, 0},
		{"wetter than full is not less than nothing", LiquorNeed{1000, HeldShares{2.5, 2.2}, 1, 0.15}, 0},
		{"the usual", LiquorNeed{1000, UsualHeldShares(), 1, unit.Share(LossShare.Value)}, 1265},
	} {
		if got := float64(row.need.Volume()); !near(got, row.want, 1e-9*row.want) {
			t.Errorf("%s: %g mL, want %g", row.why, got, row.want)
		}
	}
}

func TestWeighed(t *testing.T) {
	h, err := HeldSharesFromWeights(160, 336, 512)
	if err != nil || !near(float64(h.Wrung), 1.1, 1e-12) || !near(float64(h.Full), 2.2, 1e-12) {
		t.Errorf("%+v, %v", h, err)
	}
	for _, row := range [][3]unit.Mass{{160, 160, 400}, {160, 400, 400}, {400, 160, 500}, {160, 340, 5100}, {0, 1, 2}, {unit.Mass(math.NaN()), 1, 2}} {
		if _, err := HeldSharesFromWeights(row[0], row[1], row[2]); !fault.Is(err, fault.Input) {
			t.Errorf("%v is accepted", row)
		}
	}
}

func TestBottles(t *testing.T) {
	for _, row := range []struct {
		why     string
		v, full unit.Volume
		want    unit.Count
	}{
		{"one exactly: 85 mL of a bottle that takes 100", 85, 100, 1},
		{"a drop more", 85.1, 100, 2},
		{"seven exactly, whatever the last bits are", 595, 100, 7},
		{"nothing to fill", 0, 100, 0},
		{"no bottle", 100, 0, 0},
	} {
		if got := CountBottles(row.v, row.full); got != row.want {
			t.Errorf("%s: %g, want %g", row.why, float64(got), float64(row.want))
		}
	}
}

func drawNeed(t *rapid.T) LiquorNeed {
	n := LiquorNeed{
		Goods:        unit.Mass(rapid.Float64Range(1, 1e5).Draw(t, "goods")),
		Held:         HeldShares{Wrung: unit.Share(rapid.Float64Range(0.3, 2).Draw(t, "wrung"))},
		CoveredShare: unit.Share(rapid.Float64Range(0.01, 1).Draw(t, "cover")),
		LossShare:    unit.Share(rapid.Float64Range(0, 1).Draw(t, "loss")),
	}
	n.Held.Full = n.Held.Wrung + unit.Share(rapid.Float64Range(0.01, 2).Draw(t, "room"))
	return n
}

// What the goods held, what they take up and what is lost close the balance;
// twice the goods take twice the dye; wetter goods never take more.
func TestBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNeed(t)
		m := float64(n.Goods)
		full := m * (float64(n.CoveredShare)*float64(n.Held.Full) + (1-float64(n.CoveredShare))*float64(n.Held.Wrung))
		if got := m*float64(n.Held.Wrung) + float64(n.TakenUp()); !near(got, full, 1e-9*full) {
			t.Fatalf("goods hold %g mL in the end, want %g", got, full)
		}
		lost := float64(n.TakenUp()) * float64(n.LossShare)
		if got := float64(n.TakenUp()) + lost; !near(got, float64(n.Volume()), 1e-9*got) {
			t.Fatalf("%g taken and lost of %g", got, float64(n.Volume()))
		}
		twice, wetter := n, n
		twice.Goods *= 2
		wetter.Held.Wrung *= 1.1
		if !near(float64(twice.Volume()), 2*float64(n.Volume()), 1e-9*float64(twice.Volume())) || wetter.Volume() > n.Volume() {
			t.Fatalf("%g; twice the goods %g; wetter %g", float64(n.Volume()), float64(twice.Volume()), float64(wetter.Volume()))
		}
	})
}

func TestParseShares(t *testing.T) {
	for typed, want := range map[string]string{
		"rust:2;blue-green:1":         "rust 0.667, blue-green 0.333", // parts
		" deep yellow : 1 ; rust: 3 ": "deep yellow 0.250, rust 0.750",
		"rust:60 %; black: 40%":       "rust 0.600, black 0.400",
		"a: 33 %; b: 33 %; c: 34 %":   "a 0.330, b 0.330, c 0.340",
		"a:33.3 %;b:33.3 %;c:33.3 %":  "a 0.333, b 0.333, c 0.333", // 99.9 %, as people round
		"rust:15":                     "rust 1.000",
		"rust:0,5;blau:1,5":           "rust 0.250, blau 0.750",
	} {
		list, err := ParseShares(typed)
		var got []string
		for _, c := range list {
			got = append(got, fmt.Sprintf("%s %.3f", c.Name, float64(c.Share)))
		}
		if strings.Join(got, ", ") != want || err != nil {
			t.Errorf("%q: %q, %v; want %q", typed, got, err, want)
		}
	}
	for typed, says := range map[string]string{
		"":                             "there is no colour",
		" ; ":                          "there is no colour",
		"rust":                         "not a colour with its share",
		":2":                           "not a colour with its share",
		"rust:2:3":                     "is not",
		"rust:":                        "it is empty",
		"rust:much":                    "is not",
		"rust:0":                       "is not a share",
		"rust:-1":                      "is not a share",
		"rust:2; Rust:1":               "twice",
		"rust:2; black:40 %":           "either all",
		"rust:60 %; black:3%":          "63 %, not 100 %",
		"rust:1; black:0.0001":         "less than a thousandth",
		"ru\x00st:1":                   "not a colour",
		strings.Repeat("x", 41) + ":1": "not a colour",
	} {
		if _, err := ParseShares(typed); !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v; should say %q", typed, err, says)
		}
	}
	if _, err := ParseShares(strings.Repeat("x", 3)); err == nil {
		t.Error("no share is accepted")
	}
	many := ""
	for i := range maxColours + 1 {
		many += fmt.Sprintf("c%d:1;", i)
	}
	if _, err := ParseShares(many); err == nil {
		t.Error("too many colours are accepted")
	}
}

// Whatever is typed is refused, or adds up to one and reads the same when it is
// written again.
func FuzzParseShares(f *testing.F) {
	for _, seed := range []string{"rust:2;blue-green:1", "rust:60 %; black:40 %", "a:½", "a:1e9;b:1", ";:", "rust:2,500", "a:0.001;b:0.9"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		list, err := ParseShares(typed)
		if err != nil {
			if fault.AsFault(err).Code != fault.Input {
				t.Fatal(err)
			}
			return
		}
		total, written := 0.0, ""
		for _, c := range list {
			total += float64(c.Share)
			written += c.Name + ":" + strconv.FormatFloat(float64(c.Share), 'f', 15, 64) + ";"
		}
		if !near(total, 1, 1e-9) {
			t.Fatalf("%q adds up to %g", typed, total)
		}
		again, err := ParseShares(written)
		if err != nil || len(again) != len(list) {
			t.Fatalf("%q is written %q and then: %v", typed, written, err)
		}
		for i, c := range again {
			if c.Name != list[i].Name || !near(float64(c.Share), float64(list[i].Share), 1e-9) {
				t.Fatalf("%q comes back as %+v", written, again)
			}
		}
	})
}
