package batchview

import (
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Each lot in the soak has an alarm of its own: 20 minutes after it went in, or 45 for pieces that
// were tied before. A lot that is out has none.
func TestSoakAlarms(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	tees := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "tee-m", Count: 4, Grams: 160}).Subject
	scarf := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "scarf", Count: 1, Grams: 60}).Subject
	late := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "napkin", Count: 6, Grams: 30}).Subject
	y.add(tees, journal.KindPieceTied, journal.PieceTied{Fold: "spiral"})
	soak := y.add("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 5000, SodaGrams: 250}).Subject
	for _, piece := range []journal.ID{scarf, tees, late} {
		y.add(soak, journal.KindSoakBegun, journal.SoakPieces{Pieces: []journal.ID{piece}})
	}
	y.a.Now = y.a.Now.Add(zone.Minute)
	y.add(late, journal.KindPieceTied, journal.PieceTied{Fold: "rings"}) // after it went in
	y.add(soak, journal.KindSoakEnded, journal.SoakPieces{Pieces: []journal.ID{scarf}})
	s := batch.Build(y.facts)
	alarms := ListAlarms([]batch.State{s}, y.env(noon))
	lots := s.Soaks[0].Lots
	if len(alarms) != 2 || len(lots) != 3 {
		t.Fatalf("%d alarms of %d lots: %+v", len(alarms), len(lots), alarms)
	}
	for i, want := range []struct {
		at         zone.Instant
		title, sub string
	}{{lots[2].InAt.Add(20 * zone.Minute), "Pieces have been in the soak for 20 min: wring them", "spring market, napkin"},
		{lots[1].InAt.Add(45 * zone.Minute), "Pieces have been in the soak for 45 min: wring them", "spring market, tee, medium"}} {
		if a := alarms[i]; a.At != want.at || a.Title != want.title || a.Sub != want.sub || !a.Soak {
			t.Errorf("%+v, want %q of %q at %d", a, want.title, want.sub, want.at)
		}
	}
	if alarms[0].Key == alarms[1].Key {
		t.Error("two lots share a key, so that one rings for both")
	}
	for i, lot := range viewSoak(s, y.env(noon)).Lots {
		if lot.WetThroughAt != alarms[1-i].At {
			t.Errorf("the screen says %d, the alarm %d", lot.WetThroughAt, alarms[1-i].At)
		}
	}
}
