package cure

import (
	"testing"

	"coldbatch/internal/place"
	"coldbatch/internal/zone"
)

// BenchmarkEvaluate is the longest case: two months of usual days too cold
// for a late figure.
func BenchmarkEvaluate(b *testing.B) {
	c := place.Build(nil, &place.UsualTemperatures{Low: -5, High: 9}, zone.UTC(), noon, noon, noon.Add(Horizon), 1.5)
	for b.Loop() {
		if _, err := Evaluate(dichlorotriazineBag(c, noon.Add(Horizon))); err != nil {
			b.Fatal(err)
		}
	}
}
