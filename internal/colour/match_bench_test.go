package colour

import "testing"

func BenchmarkMatch(b *testing.B) {
	wanted, _ := LabOfWord("olive")
	for b.Loop() {
		Match(Dyes(), wanted, 3)
	}
}
