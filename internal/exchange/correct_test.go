package exchange_test

import (
	"fmt"
	"slices"
	"testing"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

func TestCorrect(t *testing.T) {
	const hour = 60 * zone.Minute
	clock := func(offset zone.Span) []string {
		return []string{`"body"`, fmt.Sprintf(`"clock":{"offset":%d,"age":1000},"body"`, offset)}
	}
	told := func(n int, offset zone.Span) journal.Fact {
		return makeFact(t, n, journal.KindPlaceRead, journal.KindClockMeasured, `{"celsius":18}`, fmt.Sprintf(`{"offset":%d}`, offset))
	}
	inBatch := makeFact(t, 8, string(placeScope), string(batchScope), journal.KindPlaceRead, journal.KindSoakDiscarded, `{"celsius":18}`, "{}")
	for _, c := range []struct {
		why     string
		waiting []journal.Fact
		offset  zone.Span
		want    []journal.Scope
	}{
		{"nothing waits", nil, hour, nil},
		{"written before the hub was ever met", makeFacts(t, 1, 2), hour, []journal.Scope{placeScope}},
		{"so too where the clock turns out to be right: the fact cannot know", makeFacts(t, 1), 0, []journal.Scope{placeScope}},
		{"written knowing it", []journal.Fact{makeFact(t, 1, clock(hour)...)}, hour, nil},
		{"what differs by less than is corrected", []journal.Fact{makeFact(t, 1, clock(hour)...)}, hour + journal.ClockSlack, nil},
		{"what differs by more", []journal.Fact{makeFact(t, 1, clock(hour)...)}, hour + journal.ClockSlack + 1, []journal.Scope{placeScope}},
		{"the clock was set right since", []journal.Fact{makeFact(t, 1, clock(hour)...)}, 0, []journal.Scope{placeScope}},
		{"told already", []journal.Fact{makeFact(t, 1), told(2, hour)}, hour, nil},
		{"told already, and measured otherwise now: the first was nearer", []journal.Fact{makeFact(t, 1), told(2, hour)}, 3 * hour, nil},
		{"told before it was written", []journal.Fact{told(1, hour), makeFact(t, 2)}, hour, []journal.Scope{placeScope}},
		{"in the order of stamps, not in that of the list", []journal.Fact{told(2, hour), makeFact(t, 1)}, hour, nil},
		{"two scopes, in the order of their facts", []journal.Fact{inBatch, makeFact(t, 1)}, hour, []journal.Scope{placeScope, batchScope}},
		{"another phone's clock is not mine to tell", []journal.Fact{makeFact(t, 1, string(thisDevice), string(otherDevice))}, hour, nil},
		{"the shelf shows no times", []journal.Fact{makeFact(t, 1, string(placeScope), "shelf")}, hour, nil},
	} {
		drafts := exchange.DraftClockCorrections(c.waiting, thisDevice, c.offset)
		var scopes []journal.Scope
		for _, d := range drafts {
			scopes = append(scopes, d.Scope)
		}
		if !slices.Equal(scopes, c.want) {
			t.Errorf("%s: told %v, want %v", c.why, scopes, c.want)
		}
		a := journal.Author{Device: thisDevice, Now: noon.Add(hour), TZ: "Europe/Lisbon", Random: func([]byte) {}}
		if _, err := a.MakeFacts(drafts); err != nil {
			t.Errorf("%s: %v", c.why, err)
		}
	}
}
