package batchview

import (
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// A rating is taken off by its name, the others stay, and it can be given again.
func TestRatingTakenOff(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	bag := y.bag("dichlorotriazine", 21).Subject
	share := 0.1
	y.add(bag, journal.KindResultRated, journal.ResultRated{Overall: 4, Bright: 5, Even: 3, White: "some", WhiteShare: &share, Bled: "none", Note: "soft"})
	rated := func() batch.Result {
		r, _ := batch.Build(y.facts).ResultOf(bag)
		return r
	}
	whole := rated()
	if whole.Overall != 4 || whole.Note != "soft" {
		t.Fatalf("%+v", whole)
	}
	off := y.add(bag, journal.KindResultRated, journal.ResultRated{Cleared: []string{"bright", "white_share"}})
	if r := rated(); r.Bright != 0 || r.WhiteShare != nil || r.Overall != 4 || r.Even != 3 || r.White != "some" {
		t.Errorf("brightness and white left taken off: %+v", r)
	}
	if line := History(y.facts, y.env(noon))[0].Text; !strings.HasSuffix(line, "rated: brightness taken off, white left taken off") {
		t.Errorf("%q", line)
	}
	y.add(bag, journal.KindResultRated, journal.ResultRated{Bright: 2})
	if r := rated(); r.Bright != 2 {
		t.Errorf("rated again: %+v", r)
	}
	y.withdraw(y.a.Device, off)
	if r := rated(); r.Bright != 2 || r.WhiteShare == nil {
		t.Errorf("taking off undone: %+v", r)
	}
	y.add(bag, journal.KindResultRated, journal.ResultRated{Cleared: strings.Fields("overall bright even white white_share bled note")})
	if r := rated(); r.Overall+r.Bright+r.Even != 0 || r.White+r.Bled+r.Note != "" || r.WhiteShare != nil {
		t.Errorf("all taken off: %+v", r)
	}
}
