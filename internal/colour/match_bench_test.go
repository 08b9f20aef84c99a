package colour

import "testing"

func BenchmarkMatch(b *testing.B) {
	wanted, _ := OfWord("olive")
	for b.Loop() {
		Match(Dyes(), wanted, 3)
	}
}
