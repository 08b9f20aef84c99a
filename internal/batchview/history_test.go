package batchview

import (
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// The history offers to undo what people wrote. It does not offer it for what others rest
// on: the start of the batch, numbers that may stand on labels, who joined, a wrong clock,
// or an undo, which Restore takes back. What the hub wrote by itself names no writer.
func TestHistorySaysWhatCanBeUndone(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	hub, kai := y.a.NewID(), y.a.NewID()
	y.addAs(hub, "", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, From: 1, To: 20})
	y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai"})
	y.add("", journal.KindClockMeasured, journal.ClockMeasured{Offset: zone.Hour})
	piece := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180, Fibre: "cotton"})
	y.withdraw(y.a.Device, piece)
	type line struct{ fixed, byHub, withdrawn bool }
	want := map[string]line{
		journal.KindBatchStarted:  {fixed: true},
		journal.KindNumbersLeased: {fixed: true, byHub: true},
		journal.KindHelperJoined:  {fixed: true, byHub: true},
		journal.KindClockMeasured: {fixed: true},
		journal.KindPieceAdded:    {withdrawn: true},
		journal.KindFactWithdrawn: {fixed: true},
	}
	e := y.env(noon)
	e.Names = map[journal.ID]string{y.a.Device: "kitchen phone", hub: "the computer"}
	lines := History(y.facts, e)
	if len(lines) != len(want) {
		t.Fatalf("%d lines for %d facts", len(lines), len(want))
	}
	for _, l := range lines {
		if got := (line{l.IsFinal, l.ByHub, l.IsWithdrawn}); got != want[l.Kind] {
			t.Errorf("%s: %+v, want %+v", l.Kind, got, want[l.Kind])
		}
		if isNameless := l.Writer == ""; isNameless != l.ByHub {
			t.Errorf("%s is written by %q", l.Kind, l.Writer)
		}
	}
}
