package batchview

import (
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
)

// FoundLabels are the bags and labels with a number or an id that a person typed from a label.
type FoundLabels struct {
	Bags   []FoundBag   `json:"bags"`
	Blanks []FoundBlank `json:"blanks"` // blanks and tags of pieces; empty if there is such a bag
}

// FoundBag is a bag by its number or id.
type FoundBag struct {
	Batch     journal.ID `json:"batch"`
	BatchName string     `json:"batchName"`
	Bag       journal.ID `json:"bag"`
	Number    string     `json:"number"`
}

// FoundBlank is a numbered blank, or the tag of a piece, by its number or id.
type FoundBlank struct {
	BatchName string `json:"batchName"`
	Number    string `json:"number"`
	Code      string `json:"code"` // what its QR code carries
}

// FindTyped finds what a person typed in the batches. Up to four digits with an optional
// letter are a number, such as "8" or "8H"; anything else must be the id of a label, or
// FindTyped returns a fault. A bag is also found by the numbers of the blanks on it.
func FindTyped(states []batch.State, typed string, e ViewEnv) (FoundLabels, error) {
	f := FoundLabels{Bags: []FoundBag{}, Blanks: []FoundBlank{}}
	want := strings.ToUpper(strings.Join(strings.Fields(typed), ""))
	byNumber := isNumber(want)
	if !byNumber {
		id, err := label.ParseID(typed)
		if err != nil {
			return f, err
		}
		want = id
	}
	for _, s := range states {
		for _, id := range bagsByInput(s, want, byNumber) {
			bagNumber := want
			if b, _ := s.Bag(id); !byNumber {
				bagNumber = formatBagNumber(b.Number, b.Letter)
			}
			f.Bags = append(f.Bags, FoundBag{Batch: s.ID, BatchName: s.Name, Bag: id, Number: bagNumber})
		}
	}
	if len(f.Bags) > 0 {
		return f, nil
	}
	for _, s := range states {
		for _, tags := range []bool{false, true} {
			for _, x := range ViewBlanks(s, tags, e) {
				if byNumber && x.Number == want || !byNumber && x.TypedID == want {
					f.Blanks = append(f.Blanks, FoundBlank{BatchName: s.Name, Number: x.Number, Code: x.Code})
				}
			}
		}
	}
	return f, nil
}

// bagsByInput returns the bags with the number want, on their label or on a blank that is
// attached to them, or the bag with the id want.
func bagsByInput(s batch.State, want string, byNumber bool) (found []journal.ID) {
	if !byNumber {
		if b, ok := s.BagByTypedID(want); ok {
			found = append(found, b.ID)
		}
		return found
	}
	add := func(id journal.ID) {
		if id != "" && !slices.Contains(found, id) {
			found = append(found, id)
		}
	}
	for _, b := range s.Bags {
		if formatBagNumber(b.Number, b.Letter) == want {
			add(b.ID)
		}
	}
	for _, x := range s.Blanks {
		if _, there := s.Bag(x.Bag); there && formatBagNumber(x.Number, x.Letter) == want {
			add(x.Bag)
		}
	}
	return found
}

// isNumber says whether a text is the number of a bag: up to four digits and then a
// letter, or none.
func isNumber(s string) bool {
	digits := strings.TrimRight(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
	return len(s)-len(digits) <= 1 && len(digits) >= 1 && len(digits) <= 4 && strings.Trim(digits, "0123456789") == ""
}
