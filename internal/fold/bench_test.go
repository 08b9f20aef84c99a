package fold

import (
	"math"
	"os"
	"runtime"
	"testing"
	"time"
)

// The limits are 150 ms for a map, 16 ms for a picture after a change of dye, and 33 ms for the same
// as wasm, on a machine on which the loop below takes calibrationTime; what is compared is the ratio, so
// that a slower or busier machine gives the same answer. A round of the loop waits for a division, two sums and
// a product, about 25 cycles, so that at 4 GHz it takes 25 ms.
const calibrationTime = 25 * time.Millisecond

// measureLoopTime runs a loop of square roots, as the colours of a picture need.
func measureLoopTime() time.Duration {
	start := time.Now()
	sum := 0.
	for i := range 4_000_000 {
		sum += math.Sqrt(float64(i)) / (1 + sum*1e-9)
	}
	if sum == 0 {
		panic("no sum")
	}
	return time.Since(start)
}

// BenchmarkPicture follows a thumb that changes dye: laying it and drawing the front and the back of
// a tee at 512 × 512, with the share that stays white, as the phone asks for.
func BenchmarkPicture(b *testing.B) {
	m := mustMap(b, mustGarment(b, "tee-l"), Fold{Kind: Spiral, Seed: 1}, 512)
	d, err := NewDyeApplication(m.Fold, mustColours(b, "rust", "deep yellow", "blue-green"), 1)
	if err != nil {
		b.Fatal(err)
	}
	best, loop := time.Hour, time.Hour
	var buffer []byte
	for b.Loop() {
		loop = min(loop, measureLoopTime())
		start := time.Now()
		c, err := m.ApplyDye(d)
		if err != nil {
			b.Fatal(err)
		}
		buffer = c.Pictures(false, buffer)
		c.WhiteShare()
		c.Release()
		best = min(best, time.Since(start))
	}
	limit := 16 * time.Millisecond
	if runtime.GOARCH == "wasm" {
		limit = 33 * time.Millisecond
	}
	reportTimes(b, "picture", best, loop, limit)
}

// BenchmarkMap works out where 512 × 512 points of both layers lie.
func BenchmarkMap(b *testing.B) {
	g := mustGarment(b, "tee-l")
	best, loop := time.Hour, time.Hour
	for b.Loop() {
		loop = min(loop, measureLoopTime())
		start := time.Now()
		mustMap(b, g, Fold{Kind: Spiral, Seed: 1}, 512)
		best = min(best, time.Since(start))
	}
	reportTimes(b, "map", best, loop, 150*time.Millisecond)
}

func reportTimes(b *testing.B, what string, best, loop, limit time.Duration) {
	ratio := float64(best) / float64(loop) / (float64(limit) / float64(calibrationTime))
	b.ReportMetric(float64(best)/1e6, "ms-"+what)
	b.ReportMetric(float64(loop)/1e6, "ms-loop")
	b.ReportMetric(ratio, "of-limit")
	if ratio > 1 && os.Getenv("COLDBATCH_LONG") != "" {
		b.Errorf("%s takes %v beside %v for the loop: %.2f of what it may take", what, best, loop, ratio)
	}
}
