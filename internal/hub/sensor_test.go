package hub

import (
	"math"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

func TestReading(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	shed := h.newID()
	var b [10]byte
	h.random.fill(b[:])
	token := journal.NewCode(b)
	wantFault(t, h.RecordReading(ctx, token, 18), fault.Refused)
	sensed := h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindPlaceSensed, journal.SensorAdded{Name: "by the door", Hash: hashOf(strings.ReplaceAll(token, "-", ""))})
	for _, c := range []struct {
		why     string
		after   zone.Span
		celsius float64
		kept    bool
	}{
		{"the first", 0, 18.5, true},
		{"the same, at once", zone.Second, 18.5, false},
		{"another, at once: a place does not change so fast", zone.Minute, 22, false},
		{"after five minutes, the same within what a sensor can tell", 4 * zone.Minute, 18.7, false},
		{"after five minutes and more, another", zone.Minute, 18.9, true},
		{"for half an hour the same", 29 * zone.Minute, 18.9, false},
		{"then again, so that it is seen to live", zone.Minute, 18.9, true},
		{"the clock of the hub was set back", -2 * zone.Hour, 18.9, true},
		{"as cold as a place gets", zone.Hour, -40, true},
		{"as hot as a place gets", zone.Hour, 90, true},
	} {
		h.now = h.now.Add(c.after)
		before := len(h.facts)
		if err := h.RecordReading(ctx, token, c.celsius); err != nil {
			t.Errorf("%s: %v", c.why, err)
		}
		if kept := len(h.facts) > before; kept != c.kept {
			t.Errorf("%s: kept %v", c.why, kept)
		}
	}
	f := h.facts[len(h.facts)-1]
	if r, ok := journal.DecodeBody[journal.TemperatureReading](f); !ok || r.Sensor != "by the door" || r.Celsius != 90 || f.Kind != journal.KindPlaceRead || f.Scope != journal.PlaceScope(shed) || f.Subject != shed || f.Device != h.ID {
		t.Errorf("wrote %s", f.Text())
	}
	for _, c := range []float64{-40.1, 90.1, math.NaN(), math.Inf(1)} {
		wantFault(t, h.RecordReading(ctx, token, c), fault.Input)
	}
	for _, wrong := range []string{"", "x", "0000-0000-0000-0000", one.token, hashOf(token)} {
		if err := h.RecordReading(ctx, wrong, 18); !fault.Is(err, fault.Refused) || fault.AsFault(err).Hint == "" {
			t.Errorf("token %q: %v", wrong, err)
		}
	}
	// Taken back it reports no more, at once; brought back it does.
	h.now = h.now.Add(zone.Hour)
	h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindFactWithdrawn, journal.FactTarget{Target: sensed.ID})
	wantFault(t, h.RecordReading(ctx, token, 18), fault.Refused)
	h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindFactRestored, journal.FactTarget{Target: sensed.ID})
	if err := h.RecordReading(ctx, token, 18); err != nil {
		t.Error(err)
	}
	h.open(t)
	if err := h.RecordReading(ctx, token, 19); err != nil {
		t.Errorf("after a new start: %v", err)
	}
	h.now = h.now.Add(zone.Hour)
	h.updateErr = fault.New(fault.Full, "the disk is full")
	wantFault(t, h.RecordReading(ctx, token, 18), fault.Full)
	h.updateErr = nil
	before := len(h.facts)
	if err := h.RecordReading(ctx, token, 18); err != nil || len(h.facts) != before+1 {
		t.Errorf("what was not written counts as the last: %v", err)
	}
}
