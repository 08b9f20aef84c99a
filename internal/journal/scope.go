package journal

import (
	"strings"

	"coldbatch/internal/fault"
)

// Scope says who may see a fact: "batch/ID", "place/ID", "shelf", "designs" or "house".
type Scope string

// The scopes that exist only once.
const (
	ShelfScope   Scope = "shelf"   // what is in stock
	DesignsScope Scope = "designs" // folds and colours to use again, and how they came out
	HouseScope   Scope = "house"   // devices, sharing, the hub itself
)

// BatchScope is the scope of one batch.
func BatchScope(id ID) Scope { return "batch/" + Scope(id) }

// PlaceScope is the scope of one place where bags stand.
func PlaceScope(id ID) Scope { return "place/" + Scope(id) }

// Split returns the sort of scope (batch, place, shelf, designs, house) and the id of the
// batch or place.
func (s Scope) Split() (sort string, id ID) {
	sort, rest, _ := strings.Cut(string(s), "/")
	return sort, ID(rest)
}

// Batch returns the batch's id, or none where s is not a batch.
func (s Scope) Batch() ID {
	if sort, id := s.Split(); sort == "batch" {
		return id
	}
	return ""
}

// Place returns the place's id, or none where s is not a place.
func (s Scope) Place() ID {
	if sort, id := s.Split(); sort == "place" {
		return id
	}
	return ""
}

// Check returns a fault where s is none of these sorts.
func (s Scope) Check() error {
	switch sort, id := s.Split(); {
	case s == ShelfScope || s == DesignsScope || s == HouseScope:
		return nil
	case (sort == "batch" || sort == "place") && id.Valid():
		return nil
	}
	return fault.New(fault.Input, "scope %q is not a batch, a place, the shelf, the designs or the house", shorten(string(s)))
}
