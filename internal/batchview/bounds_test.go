package batchview

import (
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// What an earlier version took without a bound is shortened where it is shown: a name of thousands of letters, a bag
// with hundreds of lines.
func TestLongContentsAreShortened(t *testing.T) {
	s := batch.State{Pieces: []batch.Piece{{ID: "p"}}}
	s.Pieces[0].Name, s.Pieces[0].Kind, s.Pieces[0].Count = strings.Repeat("x", 15_000), "tee", 500
	var b batch.Bag
	for range 240 {
		b.Pieces = append(b.Pieces, journal.PieceInBag{Piece: "p", Count: 1})
	}
	if words := contentWords(s, b); len(words) > 4000 || !strings.HasSuffix(words, "228 more") {
		t.Errorf("%d bytes: …%s", len(words), words[max(0, len(words)-40):])
	}
}
