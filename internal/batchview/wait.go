package batchview

import (
	"cmp"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/journal"
	"coldbatch/internal/place"
	"coldbatch/internal/zone"
)

// CarryIn compares what becomes of a cold bag, or of the last of several, that is carried
// to a warmer place now with one that stays.
type CarryIn struct {
	Place journal.ID   `json:"place,omitempty"` // none: any room of that temperature
	Ready zone.Instant `json:"ready"`
	Leave zone.Instant `json:"leave,omitempty"` // 0: not within 60 days
	Text  string       `json:"text"`            // "carry it to “kitchen” now → Sun 09:00; leave it → Tue 03:00"
}

// worthCarrying says how much sooner a bag must be ready elsewhere before the app advises carrying
// it there (judgement: a smaller gain is lost in the error of the estimate).
const worthCarrying = 3 * zone.Hour

// isCold says whether a bag that still cures is too cold: it is now, or it was at the last
// reading and that is old, so that what the place has now is a guess; or no safe time can be
// given because of the cold. A bag that is probably ready is never cold.
func isCold(b batch.Bag, o cure.Outlook, e ViewEnv) bool {
	switch o.Verdict {
	case cure.VerdictSlow, cure.VerdictFrozen:
		return true
	case cure.VerdictKeepWet:
	default:
		return false
	}
	if o.Late == 0 {
		return true
	}
	readings := e.Places[b.Stays[len(b.Stays)-1].Place].Readings
	for i := len(readings) - 1; i >= 0; i-- {
		if last := readings[i]; last.At <= e.Now {
			return e.Now.Sub(last.At).Hours() > place.ReadingValidity.Value && float64(last.Celsius) < cure.SlowBelowTemperature.Value
		}
	}
	return false
}

// carryIn returns the place in which b is ready first if it is carried there now, nil where
// that is hardly sooner than where it stands. Without a warmer place that is known it is
// a room of the usual temperature.
func carryIn(s batch.State, b batch.Bag, o cure.Outlook, e ViewEnv) *CarryIn {
	here := b.Stays[len(b.Stays)-1].Place
	if b.Stage() != "cure" || o.Verdict == cure.VerdictDry {
		return nil
	}
	best := CarryIn{Leave: o.Ready}
	try := func(stay batch.Stay) {
		moved := b
		stay.At = e.Now
		moved.Stays = append(slices.Clone(b.Stays), stay)
		there, _, _ := bagOutlook(s, moved, e, e.Now)
		if there.Ready != 0 && (best.Ready == 0 || there.Ready < best.Ready) {
			best.Place, best.Ready = stay.Place, there.Ready
		}
	}
	for _, id := range placesByName(e) {
		if id != here && (len(e.Places[id].Readings) > 0 || e.Places[id].Usual != nil) {
			try(batch.Stay{Place: id})
		}
	}
	isWorth := func() bool {
		return best.Ready != 0 && (best.Leave == 0 || best.Leave.Sub(best.Ready) >= worthCarrying)
	}
	if !isWorth() {
		best.Ready = 0
		room := cure.UsualTemperature.Value
		try(batch.Stay{Celsius: &room})
	}
	if !isWorth() {
		return nil
	}
	return &best
}

// carryText writes what becomes of n bags: "carry it to “kitchen” now → Sun 09:00; leave
// it → Tue 03:00".
func (c CarryIn) carryText(n int, e ViewEnv) string {
	it := yesOrNo(n == 1, "it", "them")
	where := e.Places[c.Place].Name
	if where == "" {
		where = "a room at " + e.formatTemperature(cure.UsualTemperature.Value)
	} else {
		where = "“" + where + "”"
	}
	leave := "not within 60 days"
	if c.Leave != 0 {
		leave = e.formatTime(c.Leave)
	}
	return "carry " + it + " to " + where + " now → " + e.formatTime(c.Ready) + "; leave " + it + " → " + leave
}

// placesByName returns the places in the order of their names.
func placesByName(e ViewEnv) []journal.ID {
	ids := make([]journal.ID, 0, len(e.Places))
	for id := range e.Places {
		ids = append(ids, id)
	}
	slices.SortStableFunc(ids, func(a, b journal.ID) int {
		return cmp.Or(cmp.Compare(e.Places[a].Name, e.Places[b].Name), cmp.Compare(a, b))
	})
	return ids
}

// ViewPlaceWithBags returns a place with the bags of all states that cure there, the earliest
// ready first.
func ViewPlaceWithBags(p batch.PlaceState, states []batch.State, e ViewEnv) PlaceView {
	v := ViewPlace(p, e)
	for _, s := range states {
		for _, b := range s.Bags {
			if b.Stage() == "cure" && b.Stays[len(b.Stays)-1].Place == p.ID {
				v.Bags = append(v.Bags, viewBag(s, b, e))
			}
		}
	}
	slices.SortStableFunc(v.Bags, compareReadiness)
	v.setWaiting(v.Bags, e)
	return v
}

// setWaiting sets what the place's bags wait for: how many there are and when they are
// ready, and what to do with the cold ones.
func (v *PlaceView) setWaiting(bags []BagView, e ViewEnv) {
	if len(bags) == 0 {
		return
	}
	v.Waiting = countWords(len(bags), "bag", "bags")
	var first, last zone.Instant
	var latest *CarryIn
	cold := 0
	for _, b := range bags {
		if b.ReadyAt != 0 {
			first, last = cmp.Or(first, b.ReadyAt), max(last, b.ReadyAt)
		}
		if !b.IsCold {
			continue
		}
		cold++
		if c := b.CarryIn; c != nil && (latest == nil || c.Ready > latest.Ready) {
			latest = c
		}
	}
	switch {
	case first == 0:
	case last == first:
		v.Waiting += ", ready " + e.formatTime(first)
	default:
		v.Waiting += ", ready " + e.formatTime(first) + " to " + e.formatTime(last)
	}
	v.FirstReady, v.InTrouble = first, cold > 0
	if latest != nil {
		v.Advice = latest.carryText(cold, e)
	}
}

// viewPlaces returns the places that have a name: one in trouble first, then by when their
// bags are ready, those without a bag last.
func viewPlaces(e ViewEnv, bags []BagView) []PlaceView {
	byPlace := map[journal.ID][]BagView{}
	for _, b := range bags {
		if b.Stage == "cure" {
			byPlace[b.Place] = append(byPlace[b.Place], b)
		}
	}
	out := []PlaceView{}
	for _, id := range placesByName(e) {
		if p := e.Places[id]; p.Name != "" {
			v := ViewPlace(p, e)
			here := slices.SortedStableFunc(slices.Values(byPlace[id]), compareReadiness)
			v.setWaiting(here, e)
			out = append(out, v)
		}
	}
	rank := func(v PlaceView) int {
		switch {
		case v.InTrouble:
			return 0
		case v.FirstReady != 0:
			return 1
		case v.Waiting != "":
			return 2
		}
		return 3
	}
	slices.SortStableFunc(out, func(a, b PlaceView) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.FirstReady, b.FirstReady))
	})
	return out
}

// ExtremeTimes says when the last low of a night and the last high of a day were.
type ExtremeTimes struct {
	LowAt  zone.Instant `json:"low_at"`
	HighAt zone.Instant `json:"high_at"`
}

// DateExtremes returns when the lowest and highest temperature of the last night and day were,
// as far as the hour tells.
func DateExtremes(e ViewEnv) (x ExtremeTimes) {
	x.LowAt, x.HighAt = place.LastExtremes(e.Zone, e.Now)
	return x
}
