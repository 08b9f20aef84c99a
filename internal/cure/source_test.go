package cure

import (
	"testing"

	"coldbatch/internal/place"
	"coldbatch/internal/provenance"
)

func TestSources(t *testing.T) {
	all := append(append(ModelValues(), KeepingValues()...), place.ReadingError, place.ReadingValidity, place.MaxDrift, place.UsualError, place.LowHour, place.HighHour)
	for _, v := range all {
		if v.Name == "" || v.Unit == "" || v.Source.Reliability == "" || v.Source.Text == "" {
			t.Errorf("%+v lacks a name, a unit or a source", v)
		}
		if v.Low > v.Value || v.High != 0 && v.High < v.Value {
			t.Errorf("%s: %g is outside its range %g–%g", v.Name, v.Value, v.Low, v.High)
		}
	}
	for _, n := range []Note{noteNeedsHeat, noteUnknown, noteVinylSulfone, noteDry, noteSlow, noteFrozen, noteLateNever, noteOldReading, noteNoSoda, noteExtrapolatedHot, noteNoGain, noteNotClosed} {
		if n.Code == "" || n.Text == "" || n.Source.Text == "" {
			t.Errorf("%+v lacks a code, a text or a source", n)
		}
	}
	for _, c := range []provenance.Caution{NoShortCutCaution, KeepAwayCaution, HotDyeingCaution, NeverTightCaution} {
		if c.Code == "" || c.Text == "" || c.Source == "" {
			t.Errorf("%+v lacks a code, a text or a source", c)
		}
	}
}
