package batchview

import (
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// A helper may close bags in places that it invents, each with an id of its own: they are told
// together, and do not run the owner's command once for each. A place with a name is told apart.
func TestInventedPlacesAreToldTogether(t *testing.T) {
	y := newCalendarYard(t)
	y.close(1, noon)
	celsius := 21.0
	for n := range 8 {
		y.add("", journal.KindBagClosed, journal.BagClosed{Number: 2 + n, Place: y.a.NewID(), Celsius: &celsius,
			Pieces: []journal.PieceInBag{{Piece: y.piece, Count: 1}}, Colours: []journal.ColourInBag{{Colour: y.colour, Share: 1}}})
	}
	e := y.env(noon.Add(zone.Hour))
	e.Places = map[journal.ID]batch.PlaceState{y.shed: batch.BuildPlace(byScope(y.facts)[journal.PlaceScope(y.shed)])}
	states := []batch.State{batch.Build(y.facts)}
	groups := ReadyGroups(states, e)
	if len(groups) != 2 || len(groups[0].Bags)+len(groups[1].Bags) != 9 {
		t.Fatalf("8 invented places and the shed are %d groups: %+v", len(groups), groups)
	}
	if alarms := ListAlarms(states, e); len(alarms) > 4 {
		t.Errorf("the phone would ring %d times", len(alarms))
	}
}
