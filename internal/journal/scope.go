package journal

import (
	"strings"

	"coldbatch/internal/fault"
)

// Scope says who may see a fact: "batch/ID", "place/ID", "shelf" or "house".
type Scope string

// The two scopes of which there is one each.
const (
	ShelfScope Scope = "shelf" // what is in stock
	HouseScope Scope = "house" // devices, sharing, the hub itself
)

// BatchScope is the scope of one batch.
func BatchScope(id ID) Scope { return "batch/" + Scope(id) }

// PlaceScope is the scope of one place where bags stand.
func PlaceScope(id ID) Scope { return "place/" + Scope(id) }

// Split gives the sort of scope (batch, place, shelf, house) and the id of the
// batch or place.
func (s Scope) Split() (sort string, id ID) {
	sort, rest, _ := strings.Cut(string(s), "/")
	return sort, ID(rest)
}

// Batch gives the batch's id, or none where s is not a batch.
func (s Scope) Batch() ID {
	if sort, id := s.Split(); sort == "batch" {
		return id
	}
	return ""
}

// Place gives the place's id, or none where s is not a place.
func (s Scope) Place() ID {
	if sort, id := s.Split(); sort == "place" {
		return id
	}
	return ""
}

// Check returns a fault where s is none of the four sorts.
func (s Scope) Check() error {
	switch sort, id := s.Split(); {
	case s == ShelfScope || s == HouseScope:
		return nil
	case (sort == "batch" || sort == "place") && id.Valid():
		return nil
	}
	return fault.New(fault.Input, "scope %q is not a batch, a place, the shelf or the house", shorten(string(s)))
}
