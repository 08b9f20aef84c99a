package exchange_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

func testID(n int) journal.ID { return journal.NewID([16]byte{byte(n >> 8), byte(n)}) }

func testIDs(list ...int) []journal.ID {
	out := []journal.ID{}
	for _, n := range list {
		out = append(out, testID(n))
	}
	return out
}

// ownSentFacts are facts that this phone wrote itself.
func ownSentFacts(list ...int) (out []exchange.SentFact) {
	for _, n := range list {
		out = append(out, exchange.SentFact{ID: testID(n), Device: thisDevice})
	}
	return out
}

var (
	thisDevice  = testID(900)
	otherDevice = testID(901)
	placeScope  = journal.PlaceScope(testID(902))
	batchScope  = journal.BatchScope(testID(903))
)

// noon is 12:00 on 2 May 2026 in Lisbon.
const noon zone.Instant = 1777719600000

// makeFact makes fact n by reading the JSON that a phone would send.
func makeFact(t testing.TB, n int, edit ...string) journal.Fact {
	t.Helper()
	text := fmt.Sprintf(`{"id":%q,"stamp":%q,"device":%q,"scope":%q,"subject":%q,"kind":"place.read","v":1,"need":1,"at":%d,"tz":"Europe/Lisbon","body":{"celsius":18}}`,
		testID(n), journal.Stamp{Milliseconds: noon.Add(zone.Span(n))}, thisDevice, placeScope, placeScope.Place(), noon)
	for i := 0; i < len(edit); i += 2 {
		text = strings.Replace(text, edit[i], edit[i+1], 1)
	}
	var f journal.Fact
	if err := json.Unmarshal([]byte(text), &f); err != nil {
		t.Fatal(err)
	}
	return f
}

func makeFacts(t testing.TB, list ...int) (out []journal.Fact) {
	for _, n := range list {
		out = append(out, makeFact(t, n))
	}
	return out
}

func TestNextRequest(t *testing.T) {
	texts := func(n, size int) (out []json.RawMessage) {
		for range n {
			out = append(out, json.RawMessage(`"`+strings.Repeat("x", size-2)+`"`))
		}
		return out
	}
	whole := exchange.PhoneState{Device: thisDevice, Cursor: &exchange.Cursor{Seq: 7, FactID: testID(7), ScopesHash: "ab"}, CaughtUp: true}
	for _, c := range []struct {
		why         string
		phone       exchange.PhoneState
		waiting     []json.RawMessage
		lease       int
		facts, want int
	}{
		{"nothing waits, and it has not read all yet", exchange.PhoneState{Device: thisDevice}, nil, 3, 0, 0},
		{"it has read all", whole, nil, 3, 0, 3},
		{"what waits goes along with the asking for numbers", whole, texts(499, 10), 3, 499, 3},
		{"as many as can be given at once may not be all: a lease may be among the rest", whole, texts(500, 10), 3, 500, 0},
		{"no more than the hub takes", whole, texts(501, 10), 3, 500, 0},
		{"no more text than the hub takes", whole, texts(100, 24_000), 3, 25, 0},
		{"text up to the bound", whole, texts(25, 24_000), 3, 25, 3},
		{"one goes at least, whatever its size", whole, texts(2, 700_000), 3, 1, 0},
		{"no more batches than the hub takes", whole, nil, 101, 0, 100},
	} {
		r := exchange.NextRequest(c.phone, c.waiting, make([]journal.ID, c.lease))
		if len(r.Facts) != c.facts || len(r.Lease) != c.want || r.Device != thisDevice || r.Cursor != c.phone.Cursor {
			t.Errorf("%s: %d facts and %d leases, want %d and %d", c.why, len(r.Facts), len(r.Lease), c.facts, c.want)
		}
	}
	text, err := json.Marshal(exchange.NextRequest(exchange.PhoneState{Device: thisDevice}, nil, nil))
	if want := `{"device":"` + string(thisDevice) + `","cursor":null,"facts":[],"lease":[]}`; err != nil || string(text) != want {
		t.Errorf("the first request is %s, want %s", text, want)
	}
}

func TestPlanAnswer(t *testing.T) {
	cursor := &exchange.Cursor{Seq: 9, FactID: testID(9)}
	refusal := exchange.Refusal{ID: testID(2), Code: fault.Refused, Sentence: "no"}
	latest := func(n int) journal.Stamp { return journal.Stamp{Milliseconds: noon.Add(zone.Span(n))} }
	for _, c := range []struct {
		why    string
		phone  exchange.PhoneState
		sent   []exchange.SentFact
		answer exchange.Answer
		known  []journal.ID
		want   exchange.AnswerPlan
	}{
		{"nothing new: whole from now on, and once more for the numbers",
			exchange.PhoneState{Device: thisDevice}, nil, exchange.Answer{Cursor: cursor}, nil,
			exchange.AnswerPlan{Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true}, HasMore: true}},
		{"nothing new, and it was whole",
			exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true}, nil, exchange.Answer{Cursor: cursor}, nil,
			exchange.AnswerPlan{Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true}}},
		{"what is acknowledged is settled, what is refused is not lost",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, ownSentFacts(1, 2), exchange.Answer{Cursor: cursor, Acks: testIDs(1), Refused: []exchange.Refusal{refusal}}, nil,
			exchange.AnswerPlan{Acknowledged: testIDs(1), Refused: []exchange.Refusal{refusal}, Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true}}},
		{"facts of others are kept, and the latest stamp is seen",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true, LatestStamp: latest(5)}, nil, exchange.Answer{Cursor: cursor, Facts: makeFacts(t, 3, 7, 4)}, nil,
			exchange.AnswerPlan{NewFacts: testIDs(3, 7, 4), Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true, LatestStamp: latest(7)}}},
		{"the stamp that was seen does not go back",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true, LatestStamp: latest(8)}, nil, exchange.Answer{Cursor: cursor, Facts: makeFacts(t, 3)}, nil,
			exchange.AnswerPlan{NewFacts: testIDs(3), Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true, LatestStamp: latest(8)}}},
		{"a fact that is here came back: the hub has it, as after a lost answer",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, nil, exchange.Answer{Cursor: cursor, Facts: makeFacts(t, 3, 4)}, testIDs(4),
			exchange.AnswerPlan{Acknowledged: testIDs(4), NewFacts: testIDs(3), Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true, LatestStamp: latest(4)}}},
		{"there is more: not whole yet",
			exchange.PhoneState{Device: thisDevice}, nil, exchange.Answer{Cursor: cursor, Facts: makeFacts(t, 3), HasMore: true}, nil,
			exchange.AnswerPlan{NewFacts: testIDs(3), Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, LatestStamp: latest(3)}, HasMore: true}},
		{"another view begins at the beginning: who was whole stays so",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, nil, exchange.Answer{Cursor: cursor, Facts: makeFacts(t, 3), HasMore: true}, testIDs(3),
			exchange.AnswerPlan{Acknowledged: testIDs(3), Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true, LatestStamp: latest(3)}, HasMore: true}},
		{"a hub from an old copy: all waits again but what this very answer says is there",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, ownSentFacts(1), exchange.Answer{StartsOver: true, Cursor: cursor, Acks: testIDs(1), Facts: makeFacts(t, 3)}, testIDs(3),
			exchange.AnswerPlan{Resend: true, Acknowledged: testIDs(1, 3), Phone: exchange.PhoneState{Device: thisDevice, Cursor: cursor, LatestStamp: latest(3)}, HasMore: true}},
		{"a hub that lost everything",
			exchange.PhoneState{Device: thisDevice, Cursor: cursor, CaughtUp: true}, nil, exchange.Answer{StartsOver: true}, nil,
			exchange.AnswerPlan{Resend: true, Phone: exchange.PhoneState{Device: thisDevice}, HasMore: true}},
		{"said twice is said once, and an ack holds",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, ownSentFacts(2, 1), exchange.Answer{Acks: testIDs(1, 1, 2), Refused: []exchange.Refusal{refusal}, Facts: makeFacts(t, 3, 3)}, nil,
			exchange.AnswerPlan{Acknowledged: testIDs(1, 2), NewFacts: testIDs(3), Phone: exchange.PhoneState{Device: thisDevice, CaughtUp: true, LatestStamp: latest(3)}}},
		{"what others wrote is theirs to bring, where this phone may not",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, []exchange.SentFact{{ID: testID(1), Device: thisDevice}, {ID: testID(2), Device: otherDevice}}, exchange.Answer{Acks: testIDs(1), Refused: []exchange.Refusal{refusal}}, nil,
			exchange.AnswerPlan{Acknowledged: testIDs(1), NotRelayed: testIDs(2), Phone: exchange.PhoneState{Device: thisDevice, CaughtUp: true}}},
		{"a refusal of what was not sent is nobody's",
			exchange.PhoneState{Device: thisDevice, CaughtUp: true}, ownSentFacts(1), exchange.Answer{Acks: testIDs(1), Refused: []exchange.Refusal{refusal}}, nil,
			exchange.AnswerPlan{Acknowledged: testIDs(1), Phone: exchange.PhoneState{Device: thisDevice, CaughtUp: true}}},
	} {
		c.answer.Now, c.want.Phone.LatestHubTime = noon, noon
		got, err := exchange.PlanAnswer(c.phone, c.sent, c.answer, c.known)
		for _, list := range []*[]journal.ID{&c.want.Acknowledged, &c.want.NotRelayed, &c.want.NewFacts} {
			if *list == nil {
				*list = []journal.ID{}
			}
		}
		if c.want.Refused == nil {
			c.want.Refused = []exchange.Refusal{}
		}
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s:\n got %+v %v\nwant %+v", c.why, got, err, c.want)
		}
	}
}

// Neither must a phone call for ever.
func TestPlanAnswerEnds(t *testing.T) {
	for _, c := range []struct {
		why    string
		sent   []exchange.SentFact
		answer exchange.Answer
	}{
		{"it does nothing with what it was sent", ownSentFacts(1, 2), exchange.Answer{}},
		{"it speaks of other facts", ownSentFacts(1, 2), exchange.Answer{Acks: testIDs(3)}},
		{"it has more and gives none", nil, exchange.Answer{HasMore: true}},
	} {
		if s, err := exchange.PlanAnswer(exchange.PhoneState{Device: thisDevice}, c.sent, c.answer, nil); !fault.Is(err, fault.Unavailable) {
			t.Errorf("%s: %+v %v", c.why, s, err)
		}
	}
}

// A stamp ahead of the hub's clock moves no phone's: not when it comes, and a phone that
// was carried off earlier comes back. The fact itself is kept.
func TestStampsAheadMoveNoClock(t *testing.T) {
	far := makeFacts(t, 1)[0]
	far.Stamp.Milliseconds = noon.Add(zone.Day + 1)
	near := makeFacts(t, 2)[0]
	near.Stamp.Milliseconds = noon.Add(zone.Day)
	for _, c := range []struct {
		why    string
		seen   journal.Stamp
		facts  []journal.Fact
		latest zone.Instant
		want   zone.Instant
	}{
		{"one stamp too far", journal.Stamp{Milliseconds: noon}, []journal.Fact{far}, 0, noon},
		{"one that is a day ahead", journal.Stamp{Milliseconds: noon}, []journal.Fact{far, near}, 0, near.Stamp.Milliseconds},
		{"the hub's clock was set back, and had been further", journal.Stamp{Milliseconds: noon}, []journal.Fact{far}, noon.Add(zone.Hour), far.Stamp.Milliseconds},
		{"a phone that was carried off", journal.Stamp{Milliseconds: journal.MaxTime}, nil, 0, noon},
	} {
		a := exchange.Answer{Facts: c.facts, Now: noon, LatestHubTime: c.latest}
		s, err := exchange.PlanAnswer(exchange.PhoneState{Device: thisDevice, LatestStamp: c.seen}, nil, a, nil)
		if err != nil || s.Phone.LatestStamp.Milliseconds != c.want || len(s.NewFacts) != len(c.facts) || s.Phone.LatestHubTime != max(noon, c.latest) {
			t.Errorf("%s: %+v %v, want seen %d", c.why, s, err, c.want)
		}
	}
}
