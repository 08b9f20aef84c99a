//go:build unix

package press

import (
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"coldbatch/internal/sheet"
	"github.com/skip2/go-qrcode"
)

// What 500 labels in one call may cost.
const (
	manyLabels = 500
	minRate    = 0.5 // of the rate at which their codes alone are encoded
	maxMB      = 100
)

// measuredCost is what a child process found. Times are those of the processor, collecting
// garbage included: what else the machine does must not count.
type measuredCost struct {
	Encoding, Labels time.Duration
	MB               float64
}

// TestFiveHundredLabels checks the rate and the memory. It is measured in a process
// of its own, whose peak is that of the call alone.
func TestFiveHundredLabels(t *testing.T) {
	if os.Getenv("COLDBATCH_MANY") != "" {
		json.NewEncoder(os.Stdout).Encode(measureFiveHundredLabels(t))
		return
	}
	var c measuredCost
	for range 3 { // the machine may be busy with something else
		cmd := exec.Command(os.Args[0], "-test.run", "^TestFiveHundredLabels$")
		cmd.Env = append(os.Environ(), "COLDBATCH_MANY=1")
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		line, _, _ := strings.Cut(string(out), "\n")
		if err := json.Unmarshal([]byte(line), &c); err != nil {
			t.Fatalf("%v in %s", err, out)
		}
		if c.rate() >= minRate {
			break
		}
	}
	t.Logf("%d labels: %.0f ms, their codes alone %.0f ms: %.0f %% of the rate; at most %.0f MB", manyLabels, float64(c.Labels.Milliseconds()), float64(c.Encoding.Milliseconds()), 100*c.rate(), c.MB)
	if c.rate() < minRate {
		t.Errorf("labels come at %.0f %% of the rate of their codes, want %.0f %%", 100*c.rate(), 100*minRate)
	}
	if c.MB > maxMB {
		t.Errorf("%.0f MB, at most %d", c.MB, maxMB)
	}
}

func (c measuredCost) rate() float64 { return float64(c.Encoding) / float64(c.Labels) }

// measureFiveHundredLabels returns the best of three rounds, encoding and labels in turn.
func measureFiveHundredLabels(t testing.TB) measuredCost {
	job := newFiveHundredBagJob(t)
	best := measuredCost{Encoding: time.Hour, Labels: time.Hour}
	for range 3 {
		begin := processorTime(t)
		pages := layOutPages(t, job)
		best.Labels = min(best.Labels, processorTime(t)-begin)
		levels := levelsOf(pages)
		begin = processorTime(t)
		for _, tag := range job.Labels {
			encodeQR(t, tag.Address, levels[tag.Address])
		}
		best.Encoding = min(best.Encoding, processorTime(t)-begin)
	}
	best.MB = peakMemoryMB(t)
	return best
}

// processorTime returns the time that this process had of the processor.
func processorTime(t testing.TB) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func newFiveHundredBagJob(t testing.TB) sheet.PrintJob {
	s, err := sheet.FindPaper("a4-70x37")
	if err != nil {
		t.Fatal(err)
	}
	job := sheet.PrintJob{Paper: s, Options: sheet.Options{DPI: 203}}
	for n := range manyLabels {
		job.Labels = append(job.Labels, sampleBagText(t, n+1, n%4+1))
	}
	return job
}

func layOutPages(t testing.TB, job sheet.PrintJob) []sheet.Page {
	pages, _, err := job.Pages()
	if err != nil {
		t.Fatal(err)
	}
	if err := PDF(io.Discard, "labels", time.Unix(0, 0), pages); err != nil {
		t.Fatal(err)
	}
	return pages
}

// levelsOf returns the level at which each text was encoded: the plain encoding is
// asked for the same.
func levelsOf(pages []sheet.Page) map[string]qrcode.RecoveryLevel {
	names := map[string]qrcode.RecoveryLevel{"L": qrcode.Low, "M": qrcode.Medium, "Q": qrcode.High, "H": qrcode.Highest}
	levels := map[string]qrcode.RecoveryLevel{}
	for _, p := range pages {
		for _, c := range p.Codes {
			levels[c.Text] = names[c.Level]
		}
	}
	return levels
}

func encodeQR(t testing.TB, text string, level qrcode.RecoveryLevel) {
	code, err := qrcode.New(text, level)
	if err != nil {
		t.Fatal(err)
	}
	code.Bitmap()
}

// peakMemoryMB returns the most memory that this process had, in MB of 10⁶ bytes; 0 on a
// system that does not say.
func peakMemoryMB(t testing.TB) float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.ParseFloat(strings.Fields(rest)[0], 64)
			if err != nil {
				t.Fatal(err)
			}
			return kb * 1024 / 1e6
		}
	}
	return 0
}

func BenchmarkFiveHundredLabels(b *testing.B) {
	job := newFiveHundredBagJob(b)
	b.ReportAllocs()
	for b.Loop() {
		layOutPages(b, job)
	}
	b.ReportMetric(manyLabels*float64(b.N)/b.Elapsed().Seconds(), "labels/s")
}

func BenchmarkTheirCodesAlone(b *testing.B) {
	job := newFiveHundredBagJob(b)
	levels := levelsOf(layOutPages(b, job))
	for b.Loop() {
		for _, tag := range job.Labels {
			encodeQR(b, tag.Address, levels[tag.Address])
		}
	}
	b.ReportMetric(manyLabels*float64(b.N)/b.Elapsed().Seconds(), "codes/s")
}
