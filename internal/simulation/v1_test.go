package simulation

import (
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// recordedCall is one call as the first app made it in a browser, from an empty file to a
// rinsed bag, and what the program of then answered.
type recordedCall struct {
	Path    string
	Request json.RawMessage
	Answer  json.RawMessage
}

// The exchange of the first apps is served as it was: the same facts are taken and
// given, and an answer lacks no field that it had. The app gives a cursor back as it
// got it; one of before the upgrade has less in it, and is good all the same.
func TestFirstApps(t *testing.T) {
	recorded, err := os.ReadFile("../../testdata/exchange/v1.json")
	if err != nil {
		t.Fatal(err)
	}
	var calls []recordedCall
	if err := json.Unmarshal(recorded, &calls); err != nil || len(calls) < 20 {
		t.Fatalf("%d calls, %v", len(calls), err)
	}
	for upgrade := range len(calls) { // the call before which the program was upgraded
		d := newMemoryDisk()
		var now zone.Instant
		var random seededRandom
		h, err := hub.Open(d, api.Identity{Zone: "Europe/Lisbon"}, hub.System{Now: func() zone.Instant { return now }, Random: random.fill})
		if err != nil {
			t.Fatal(err)
		}
		cursor := json.RawMessage("null")
		var sent []journal.Fact
		for i, c := range calls {
			if strings.HasSuffix(c.Path, "/join") {
				var q api.JoinRequest
				unmarshal(t, c.Request, &q)
				got, err := h.RegisterPhone(ctx, h.LocalAsker(), q)
				if err != nil {
					t.Fatal(err)
				}
				requireLike(t, "join", c.Answer, mustMarshal(got), "letter", "host", "https", "name")
				continue
			}
			var q exchange.Request
			unmarshal(t, withProperty(t, c.Request, "cursor", cursor), &q)
			now = field[zone.Instant](t, c.Answer, "now")
			a, err := h.Exchange(ctx, h.LocalAsker(), q)
			if err != nil {
				t.Fatalf("call %d: %v", i, err)
			}
			got := mustMarshal(a)
			requireLike(t, "exchange", c.Answer, got, "acks", "refused", "fresh", "more", "seq")
			checkSameFacts(t, field[[]journal.Fact](t, c.Answer, "facts"), a.Facts)
			if cursor = field[json.RawMessage](t, got, "cursor"); i < upgrade && a.Cursor != nil {
				cursor = mustMarshal(exchange.Cursor{Seq: a.Cursor.Seq, FactID: a.Cursor.FactID})
			}
			sent = append(sent, field[[]journal.Fact](t, c.Request, "facts")...)
		}
		for _, f := range sent {
			if n, has := d.at[f.ID]; !has || string(d.facts[n].Text()) != string(f.Text()) {
				t.Errorf("%s is not in the hub as it was sent", f.Kind)
			}
		}
	}
}

// requireLike fails where got lacks a field that want has, has it as another sort of thing,
// or, of those named, with another value.
func requireLike(t *testing.T, where string, want, got json.RawMessage, same ...string) {
	t.Helper()
	var w, g map[string]json.RawMessage
	unmarshal(t, want, &w)
	unmarshal(t, got, &g)
	for k, v := range w {
		if jsonType(v) != jsonType(g[k]) {
			t.Errorf("%s of %s is %s, was %s", k, where, g[k], v)
		} else if jsonType(v) == '{' {
			requireLike(t, k+" of "+where, v, g[k], same...)
		}
		for _, s := range same {
			var x, y any
			if s == k && (json.Unmarshal(v, &x) != nil || json.Unmarshal(g[k], &y) != nil || !reflect.DeepEqual(x, y)) {
				t.Errorf("%s of %s is %s, was %s", k, where, g[k], v)
			}
		}
	}
}

// jsonType returns the sort of thing that JSON is, by how it begins.
func jsonType(v json.RawMessage) byte {
	switch {
	case len(v) == 0:
		return 0
	case v[0] == 'f':
		return 't'
	case v[0] >= '0' && v[0] <= '9':
		return '-'
	}
	return v[0]
}

// checkSameFacts compares what the hub gave then and gives now. Facts that the hub wrote
// itself have other ids now.
func checkSameFacts(t *testing.T, want, got []journal.Fact) {
	t.Helper()
	if len(want) != len(got) {
		t.Errorf("it gives %d facts, gave %d", len(got), len(want))
		return
	}
	for i, f := range want {
		if f.Kind != got[i].Kind || f.Scope != got[i].Scope || f.Subject != got[i].Subject || string(f.Body) != string(got[i].Body) {
			t.Errorf("it gives\n%s\ngave\n%s", got[i].Text(), f.Text())
		}
	}
}

func unmarshal(t *testing.T, text json.RawMessage, into any) {
	t.Helper()
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatal(err)
	}
}

func field[T any](t *testing.T, object json.RawMessage, name string) (v T) {
	t.Helper()
	var m map[string]json.RawMessage
	unmarshal(t, object, &m)
	unmarshal(t, m[name], &v)
	return v
}

func withProperty(t *testing.T, object json.RawMessage, name string, value json.RawMessage) json.RawMessage {
	t.Helper()
	var m map[string]json.RawMessage
	unmarshal(t, object, &m)
	m[name] = value
	return mustMarshal(m)
}
