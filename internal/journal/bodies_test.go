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

// What a helper's phone says about a result is checked like anything else: a lie that is well formed
// reaches neither the screens nor the wall of results.
func TestResultsAreChecked(t *testing.T) {
	hash := strings.Repeat("0a", 32)
	share, twice, none := 0.25, 2.0, []string{}
	two, unknown, many := []string{"pale", "bled"}, []string{"haunted"}, make([]string, 8)
	for i := range many {
		many[i] = "pale"
	}
	for _, row := range []struct {
		why  string
		body interface{ check() error }
		ok   bool
	}{
		{"a rating", &ResultRated{Overall: 4, White: "some", Bled: "none", WhiteShare: &share, Faults: &two}, true},
		{"no fault any more", &ResultRated{Faults: &none}, true},
		{"a rating taken off", &ResultRated{Cleared: []string{"bright", "white_share"}}, true},
		{"a rating taken off that nobody knows", &ResultRated{Cleared: []string{"charm"}}, false},
		{"more taken off than there is", &ResultRated{Cleared: strings.Fields(strings.Repeat("note ", 8))}, false},
		{"a bag that was weighed", &BagWeighed{Grams: 512}, true},
		{"a bag that weighs nothing", &BagWeighed{}, false},
		{"own figures", &SumsSet{PickUp: &OwnFigure{Value: 2.4, Results: 7}, Cure: &OwnFigure{}}, true},
		{"a cure of nothing", &SumsSet{Cure: &OwnFigure{Value: 0.1, Results: 7}}, false},
		{"cloth that holds a bucket", &SumsSet{PickUp: &OwnFigure{Value: 12, Results: 7}}, false},
		{"six of five", &ResultRated{Overall: 6}, false},
		{"more white than cloth", &ResultRated{WhiteShare: &twice}, false},
		{"a fault nobody knows", &ResultRated{Faults: &unknown}, false},
		{"more faults than there are", &ResultRated{Faults: &many}, false},
		{"an amount nobody knows", &ResultRated{Bled: "a flood"}, false},
		{"a colour", &ColourRead{Lab: [3]float64{50, 20, 30}, Error: 4, Photo: hash}, true},
		{"a colour of no photo", &ColourRead{Lab: [3]float64{50, 20, 30}}, true},
		{"a photo that is an address", &ColourRead{Photo: "https://menu.example/7"}, false},
		{"lighter than white", &ColourRead{Lab: [3]float64{101, 0, 0}}, false},
		{"a thousand and one washes", &ColourRead{Washes: 1001}, false},
		{"darker than black after the wash", &ResultMeasured{After: [3]float64{-1, 0, 0}}, false},
	} {
		if err := row.body.check(); (err == nil) != row.ok {
			t.Errorf("%s: %v", row.why, err)
		}
	}
}
