package batchview

import (
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Before the late time a bag says when it will be safe, from then on since when; both are
// the same time.
func TestSafeTimeComesAndIsPast(t *testing.T) {
	y := newTestBatch(t, 15, noon)
	y.bag("dichlorotriazine", 21)
	late := y.view(noon).Bags[0].LateReadyAt
	for _, row := range []struct {
		at    zone.Instant
		begin string
	}{{noon, "to be safe "}, {late.Add(-zone.Minute), "to be safe "}, {late, "safe since "}, {late.Add(zone.Hour), "safe since "}} {
		v := y.view(row.at).Bags[0]
		if want := row.begin + y.env(row.at).formatTime(late); v.SafeTime != want {
			t.Errorf("%s before its late time a bag says %q, want %q", late.Sub(row.at).Words(), v.SafeTime, want)
		}
	}
}

// A bag names the place where it stands now, by the name that the place has now.
func TestBagNamesItsPlace(t *testing.T) {
	y := newTestBatch(t, 16, noon)
	shed, loft := y.a.NewID(), y.a.NewID()
	b := y.bag("dichlorotriazine", 21)
	names := func() string {
		e := y.env(y.a.Now)
		e.Places = map[journal.ID]batch.PlaceState{shed: {Name: "shed"}, loft: {Name: "loft"}}
		v := ViewBatch(batch.Build(y.facts), e).Bags[0]
		return strings.Join([]string{v.PlaceName, string(v.Place)}, " ")
	}
	if got := names(); got != " " {
		t.Errorf("a bag that stands nowhere is in %q", got)
	}
	for _, to := range []struct {
		id   journal.ID
		name string
	}{{shed, "shed"}, {loft, "loft"}, {shed, "shed"}} {
		y.a.Now = y.a.Now.Add(zone.Hour)
		y.add(b.Subject, journal.KindBagMoved, journal.BagMoved{Place: to.id})
		if got, want := names(), to.name+" "+string(to.id); got != want {
			t.Errorf("moved to the %s it stands in %q", to.name, got)
		}
	}
}
