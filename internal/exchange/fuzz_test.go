package exchange_test

import (
	"encoding/json"
	"slices"
	"testing"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

func requireNoInternalFault(t *testing.T, err error) {
	t.Helper()
	if err != nil && !fault.Is(err, fault.Unavailable) {
		t.Errorf("an answer gave %v", err)
	}
}

// An answer is read from the network. What it means must never contradict itself:
// a phone would lose a fact, or keep one twice.
func FuzzPlanAnswer(f *testing.F) {
	one, two := string(makeFact(f, 1).Text()), string(makeFact(f, 2).Text())
	for _, text := range []string{
		`{"acks":["` + string(testID(1)) + `"],"facts":[` + two + `],"cursor":{"seq":2,"id":"` + string(testID(2)) + `","view":"ab","end":9,"era":"cd"},"more":true,"now":1}`,
		`{"fresh":true,"acks":["` + string(testID(1)) + `"],"refused":[{"id":"` + string(testID(1)) + `","code":"refused","sentence":"no"}],"facts":[` + one + `,` + one + `]}`,
		`{"refused":[{"id":"","code":"input","sentence":"?"},{"id":"` + string(testID(1)) + `","code":"input","sentence":"?"}],"cursor":null}`,
		`{"more":true}`, `{"acks":null,"facts":null}`, `[]`, `{"cursor":{"seq":-1}}`,
	} {
		f.Add(text, byte(0b1111))
	}
	f.Fuzz(func(t *testing.T, text string, bits byte) {
		var a exchange.Answer
		if json.Unmarshal([]byte(text), &a) != nil {
			return
		}
		has := func(n int) bool { return bits>>n&1 == 1 }
		var out []exchange.SentFact
		if has(0) {
			out = append(ownSentFacts(1), exchange.SentFact{ID: testID(2), Device: otherDevice})
		}
		var known []journal.ID
		for i, x := range a.Facts {
			if has(1 + i%3) {
				known = append(known, x.ID)
			}
		}
		p := exchange.PhoneState{Device: thisDevice, CaughtUp: has(4), LatestStamp: journal.Stamp{Milliseconds: noon}}
		s, err := exchange.PlanAnswer(p, out, a, known)
		requireNoInternalFault(t, err)
		if err == nil {
			checkPlan(t, p, out, a, known, s)
		}
	})
}

func checkPlan(t *testing.T, p exchange.PhoneState, out []exchange.SentFact, a exchange.Answer, known []journal.ID, s exchange.AnswerPlan) {
	t.Helper()
	seen := map[journal.ID]bool{}
	once := func(what string, id journal.ID) {
		if seen[id] {
			t.Errorf("%s is to be %s, and something else too", id, what)
		}
		seen[id] = true
	}
	for _, id := range s.Acknowledged {
		once("settled", id)
		if !slices.Contains(a.Acks, id) && !slices.Contains(known, id) {
			t.Errorf("%s is settled, and nobody said that the hub has it", id)
		}
	}
	for _, r := range s.Refused {
		once("refused", r.ID)
		if !slices.Contains(out, exchange.SentFact{ID: r.ID, Device: p.Device}) {
			t.Errorf("%s is refused, and was not sent, or another's", r.ID)
		}
	}
	for _, id := range s.NotRelayed {
		once("left", id)
		if !slices.Contains(out, exchange.SentFact{ID: id, Device: otherDevice}) {
			t.Errorf("%s is left, and was not sent, or the phone's own", id)
		}
	}
	kept := map[journal.ID]bool{}
	for _, id := range s.NewFacts {
		if kept[id] || slices.Contains(known, id) || !slices.ContainsFunc(a.Facts, func(x journal.Fact) bool { return x.ID == id }) {
			t.Errorf("%s is kept twice, or is here already, or did not come", id)
		}
		kept[id] = true
	}
	for _, x := range a.Facts {
		isAhead := x.Stamp.IsAhead(max(a.Now, a.LatestHubTime))
		if !kept[x.ID] && !slices.Contains(known, x.ID) || !isAhead && s.Phone.LatestStamp.Less(x.Stamp) {
			t.Errorf("%s came, and is lost or not seen", x.ID)
		}
	}
	if s.Resend != a.StartsOver || !p.LatestStamp.IsAhead(max(a.Now, a.LatestHubTime)) && s.Phone.LatestStamp.Less(p.LatestStamp) || a.StartsOver && s.Phone.CaughtUp || (a.HasMore || a.StartsOver) && !s.HasMore || s.Phone.Device != p.Device {
		t.Errorf("%+v does not follow from %+v", s, a)
	}
}

// What a phone remembers is read from its storage: the request holds what waits, as
// it is, and fits.
func FuzzAsk(f *testing.F) {
	f.Add(`{"device":"x","cursor":{"seq":1,"id":""},"seen":"0000000000000000","whole":true}`, `[{"a":1},2,"<&>"]`, 3)
	f.Add(`{}`, `[]`, 0)
	f.Fuzz(func(t *testing.T, phone, waiting string, lease int) {
		var p exchange.PhoneState
		var facts []json.RawMessage
		if json.Unmarshal([]byte(phone), &p) != nil || json.Unmarshal([]byte(waiting), &facts) != nil {
			return
		}
		r := exchange.NextRequest(p, facts, make([]journal.ID, min(max(0, lease), 1000)))
		if len(r.Facts) > exchange.MaxFacts || len(r.Lease) > exchange.MaxLease || len(facts) > 0 && len(r.Facts) == 0 || !p.CaughtUp && len(r.Lease) > 0 {
			t.Errorf("%d facts of %d, %d leases", len(r.Facts), len(facts), len(r.Lease))
		}
		for i, x := range r.Facts {
			if string(x) != string(facts[i]) {
				t.Errorf("%s goes out as %s", facts[i], x)
			}
		}
	})
}
