package labeldamage

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
	"coldbatch/internal/zone"
	"github.com/skip2/go-qrcode"
)

// labelAddress returns what is in the code of an invented bag with n colours, or of a blank
// where n is 0.
func labelAddress(t *testing.T, n int) string {
	t.Helper()
	l := label.Label{Number: 12, Token: label.MakeToken([]byte("invented"), []byte("bag"))}
	if l.IsBlank = n == 0; !l.IsBlank {
		l.ClosedAt, l.OffsetSeconds = zone.Instant(1_778_192_700_000), 7200
		l.ReadyAt, l.EarliestReady, l.LatestReady = l.ClosedAt.Add(24*zone.Hour), l.ClosedAt.Add(20*zone.Hour), l.ClosedAt.Add(29*zone.Hour)
		l.Celsius, l.ClassCode, l.PieceCode, l.FoldCode = 21, label.ClassDichlorotriazine, 3, 7
	}
	for i := range n {
		l.Colours = append(l.Colours, label.Colour{CapLetters: string(rune('A' + i)), RGB: [3]uint8{uint8(17 * i), 119, 34}, ShareSixteenths: 2})
	}
	code, err := label.Encode(l)
	if err != nil {
		t.Fatal(err)
	}
	return label.Address("coldbatch.local:8443", code)
}

// testedCode is a code whose read rate is measured, over n pictures of each kind.
type testedCode struct {
	text               string
	code               sheet.Matrix
	n                  int
	readCounts         []int // of each kind
	firstAttemptCounts []int // of each kind, already in the first look
}

// testedCodes are the label with eight colours as it is printed, which the floors are
// for; the same payload at level M; and a numbered blank, the smallest code.
func testedCodes(t *testing.T) []*testedCode {
	t.Helper()
	n := 16
	if os.Getenv("COLDBATCH_LONG") != "" {
		n = manyPictures
	}
	eight, blank := labelAddress(t, 8), labelAddress(t, 0)
	printed, err := sheet.QR(eight)
	medium, err2 := EncodeAt(qrcode.Medium, eight)
	small, err3 := sheet.QR(blank)
	if err := errors.Join(err, err2, err3); err != nil {
		t.Fatal(err)
	}
	all := []*testedCode{{text: eight, code: printed, n: n}, {text: eight, code: medium, n: n / 4}, {text: blank, code: small, n: n / 4}}
	for _, p := range all {
		p.readCounts, p.firstAttemptCounts = make([]int, len(DamageKinds)), make([]int, len(DamageKinds))
	}
	return all
}

// manyPictures says how many pictures of each kind the floors are for.
const manyPictures = 1000

// minRate returns the rate in percent that n pictures must reach. The rate of a small
// sample scatters: two standard deviations of the binomial distribution are allowed.
func minRate(floor float64, n int) float64 {
	if n >= manyPictures {
		return floor
	}
	return floor - 200*math.Sqrt(floor/100*(1-floor/100)/float64(n))
}

// The label as it is printed, and its measure: pictures of each kind, read by the
// app. What is read is the label's text or nothing, never another.
func TestDamage(t *testing.T) {
	type pictureTask struct{ p, kind, i int }
	all, dir, todo := testedCodes(t), t.TempDir(), make(chan pictureTask)
	var working sync.WaitGroup
	var mine sync.Mutex // the counts
	for range runtime.GOMAXPROCS(0) {
		reader := startReader(t)
		working.Go(func() {
			for s := range todo {
				p, kind := all[s.p], DamageKinds[s.kind]
				path := filepath.Join(dir, fmt.Sprintf("%d-%d-%d.ppm", s.kind, s.i, s.p))
				r, err := reader.readPicture(kind.Draw(p.code, s.i), path)
				if err != nil {
					t.Errorf("%s, picture %d: %v", kind.Name, s.i, err)
					continue
				}
				mine.Lock()
				if len(r.Texts) > 0 {
					p.readCounts[s.kind]++
					if r.Turn == 0 {
						p.firstAttemptCounts[s.kind]++
					}
				}
				mine.Unlock()
				if slices.ContainsFunc(r.Texts, func(text string) bool { return text != p.text }) {
					t.Errorf("%s, picture %d: misread as %q", kind.Name, s.i, r.Texts)
				}
			}
		})
	}
	for kind := range DamageKinds {
		for p, printing := range all {
			for i := range printing.n {
				todo <- pictureTask{p, kind, i}
			}
		}
	}
	close(todo)
	working.Wait()

	percent := func(n, of int) float64 { return 100 * float64(n) / float64(of) }
	var table strings.Builder
	fmt.Fprintf(&table, "%-36s %6s %6s", "read, percent", "floor", "once")
	for _, p := range all {
		fmt.Fprintf(&table, " %d-%s of %d", p.code.Version, p.code.Level, p.n)
	}
	for k, kind := range DamageKinds {
		fmt.Fprintf(&table, "\n%-36s %6g %6.1f", kind.Name, kind.MinReadPercent, percent(all[0].firstAttemptCounts[k], all[0].n))
		for _, p := range all {
			fmt.Fprintf(&table, " %*.1f", len(fmt.Sprintf("%d-%s of %d", p.code.Version, p.code.Level, p.n)), percent(p.readCounts[k], p.n))
		}
		if rate, least := percent(all[0].readCounts[k], all[0].n), minRate(kind.MinReadPercent, all[0].n); rate < least {
			t.Errorf("%s: %.1f %% read, want %.1f", kind.Name, rate, least)
		}
	}
	t.Log("\n" + table.String())
}
