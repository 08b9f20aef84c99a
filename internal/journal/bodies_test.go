package journal

import (
	"strings"
	"testing"
)

// What a body holds is checked before it is written: a photo's hash and bag, and a
// colour as #rrggbb.
func TestPhotosAndColoursAreChecked(t *testing.T) {
	hash := strings.Repeat("0a", 32)
	bag := newAuthor(1200).NewID()
	for _, row := range []struct {
		why  string
		body PiecePhotographed
		ok   bool
	}{
		{"a photo", PiecePhotographed{SHA256: hash}, true},
		{"a photo of a bag", PiecePhotographed{SHA256: hash, Bag: bag}, true},
		{"a bag that is no id", PiecePhotographed{SHA256: hash, Bag: "bag 1"}, false},
		{"a hash that is short", PiecePhotographed{SHA256: hash[1:]}, false},
		{"a hash in upper case", PiecePhotographed{SHA256: strings.ToUpper(hash)}, false},
		{"no hash", PiecePhotographed{Bag: bag}, false},
	} {
		if err := row.body.check(); (err == nil) != row.ok {
			t.Errorf("%s: %v", row.why, err)
		}
	}
	for rgb, ok := range map[string]bool{"#b5372a": true, "#000000": true, "b5372a0": false, "#B5372A": false, "#b5372": false, "#b5372ag": false, "#b5372g": false, "": false} {
		if err := checkRGB(rgb); (err == nil) != ok {
			t.Errorf("%q: %v", rgb, err)
		}
	}
}
