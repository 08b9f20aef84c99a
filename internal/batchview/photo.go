package batchview

import (
	"sort"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// bagPhotos returns the photos of a bag's pieces, newest first. It leaves out a photo taken
// in another bag, and lists a photo of several pieces once.
func bagPhotos(s batch.State, b batch.Bag, e ViewEnv) []PhotoView {
	out := []PhotoView{}
	at := map[string]int{}
	for _, bp := range b.Pieces {
		p, _ := s.Piece(bp.Piece)
		for _, x := range p.Photos {
			if x.Bag != "" && x.Bag != b.ID {
				continue
			}
			if i, there := at[x.Hash]; there {
				out[i].FactIDs = append(out[i].FactIDs, x.FactID)
				continue
			}
			at[x.Hash] = len(out)
			out = append(out, PhotoView{Hash: x.Hash, Text: photoWords(s, p.ID, x.Stage) + ", " + e.formatTime(x.At), At: x.At, FactIDs: []journal.ID{x.FactID}})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At > out[j].At })
	return out
}

// piecePhotos returns the photos of a piece that are of no bag, newest first.
func piecePhotos(p batch.Piece, e ViewEnv) []PhotoView {
	out := []PhotoView{}
	for _, x := range p.Photos {
		if x.Bag == "" {
			out = append(out, PhotoView{Hash: x.Hash, Text: pieceWords(p, 1) + ", " + e.formatTime(x.At), At: x.At, FactIDs: []journal.ID{x.FactID}})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At > out[j].At })
	return out
}

// photoWords names what a photo shows: "pillowcase, opened".
func photoWords(s batch.State, piece journal.ID, stage string) string {
	what := "a piece that was withdrawn"
	if p, ok := s.Piece(piece); ok {
		what = pieceWords(p, 1)
	}
	if w := photoStages[stage]; w != "" {
		what += ", " + w
	}
	return what
}

// photoStages has the stage of a piece when it was photographed, in words.
var photoStages = map[string]string{"cure": "in its bag", "opened": "opened", "rinsed": "rinsed", "done": "washed and dry"}
