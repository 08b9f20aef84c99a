package batchview

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/place"
	"coldbatch/internal/zone"
)

// extremeValues are the fields of facts with values that are accepted, those at the ends of
// their ranges among them.
var extremeValues = map[string]string{
	"count": "1 2 500", "number": "1 7 1023", "baths": "0 3 100", "bands": "1", "overall": "1 5", "alginate": "0 5", "celsius": "0 18 90",
	"depth": "0.1 1 2", "grams": "1 250 20000", "ml": "1 200 1e5", "ph": "0 11.3 14", "powder": "0.01 5 1e3", "scale": "0.01 1000", "seconds": "0 86400",
	"share": "0 1e-308 0.5 1", "soda": "0 60 1e4", "softener": "0", "strength": "5 30 60", "urea": "0 200", "water": "1 5000 1e6",
	"for": "0 1780000000000 7258118400000", "ready": "0 1780000000000", "offset": "0 -6307200000000 6307200000000",
	"class": `"vinyl-sulfone" "dichlorotriazine" "unknown"`, "kind": `"shirt" "towel"`, "fibre": `"cotton" "viscose"`, "fold": `"spiral" ""`,
	"form": `"anhydrous" "decahydrate" ""`, "with": `"strip" "meter"`, "name": `"rust" "x"`, "caps": `"RU" "B"`, "letter": `"A" ""`,
	"rgb": `"#aa3300"`, "hash": `"h"`, "token": `"0011223344556677"`, "assumed": "true false", "alone": "true false", "wetted": "true false",
}

// What any phone of a batch may bring: every kind, on any thing, in any order, with
// numbers at the ends of their ranges and beyond. All of it is worked out in time, and
// what is told of it is JSON, which has no infinities.
func TestExtremeBatch(t *testing.T) {
	id := func(n byte) journal.ID { return journal.NewID([16]byte{n}) }
	const now = zone.Instant(1_780_000_000_000)
	kinds := strings.Fields("piece.added piece.added colour.chosen colour.chosen soak.mixed jug.mixed bag.closed bag.closed bag.closed bag.moved bag.dyed")
	for _, k := range journal.Kinds {
		if strings.Contains(k.Scopes, "batch") {
			kinds = append(kinds, k.Name)
		}
	}
	fields := slices.Sorted(maps.Keys(extremeValues))
	fits, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		pick := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
		thing := func(sort string) journal.ID { // mostly of that sort, at times any
			n := byte(rapid.IntRange(0, 1).Draw(t, sort))
			if at := strings.Index("batch piece colour soak jug bag", sort); at >= 0 && pick("any", "no", "no", "no", "yes") == "no" {
				return id(byte(2*at) + n + 1)
			}
			return id(n + 1)
		}
		var facts []journal.Fact
		for n := range rapid.IntRange(1, 25).Draw(t, "facts") {
			kind := rapid.SampledFrom(kinds).Draw(t, "kind")
			sort, _, _ := strings.Cut(kind, ".")
			body := map[string]json.RawMessage{}
			set := func(name string, v any) {
				body[name], _ = json.Marshal(v)
			}
			for _, name := range fields {
				body[name] = json.RawMessage(pick(name, splitValues(extremeValues[name])...))
			}
			set("secret", id(90))
			for _, name := range []string{"bag", "colour", "jug", "piece"} {
				set(name, thing(name))
			}
			set("from", thing("bag"))
			set("into", thing("bag"))
			set("place", id(91))
			set("target", id(byte(100+rapid.IntRange(0, 25).Draw(t, "target"))))
			set("device", id(200))
			set("pieces", []map[string]any{{"piece": thing("piece"), "count": body["count"]}})
			set("colours", []map[string]any{{"colour": thing("colour"), "share": body["share"], "ml": body["ml"]}})
			if kind == journal.KindNumbersLeased {
				body["from"], body["to"] = json.RawMessage("1"), body["number"]
			}
			if pick("extreme", "no", "no", "no", "yes") == "yes" {
				body[pick("field", splitValues("count number grams ml powder share soda strength water celsius depth offset")...)] =
					json.RawMessage(pick("value", splitValues("-1 0 1e308 -1e308 1e-308 9223372036854775807 -9223372036854775808 null []")...))
			}
			text, err := json.Marshal(map[string]any{"id": id(byte(100 + n)), "stamp": fmt.Sprintf("%012x%04x", int64(now), n), "device": id(byte(200 + n%2)),
				"scope": journal.BatchScope(id(1)), "subject": thing(sort), "kind": kind, "v": 1, "need": 1, "tz": "UTC", "body": body,
				"at": rapid.SampledFrom([]zone.Instant{0, now - zone.Instant(zone.Day), now, now, now, journal.MaxTime}).Draw(t, "at")})
			if err != nil {
				t.Fatal(err)
			}
			var f journal.Fact
			if err := json.Unmarshal(text, &f); err != nil {
				t.Fatalf("%s: %v", text, err)
			}
			if all++; f.CheckBody() == nil {
				fits++
			}
			facts = append(facts, f)
		}
		began := time.Now()
		s := batch.Build(facts)
		e := ViewEnv{Now: now, Zone: lisbon, Host: "coldbatch.local:8443", Device: id(200), NumberLetter: "H", Places: map[journal.ID]batch.PlaceState{
			id(91): {ID: id(91), Usual: &place.UsualTemperatures{Low: -40, High: 90}, Readings: []place.Reading{{At: now.Add(-zone.Hour), Celsius: 18}}},
		}}
		told := []any{s, ViewBatch(s, e), History(facts, e), ViewToday([]batch.State{s}, 0, e), ListBatches([]batch.State{s}, e)}
		for _, b := range s.Bags {
			v, _ := ViewBag(s, b.ID, e) // or a sentence
			told = append(told, v)
		}
		for _, c := range s.Colours {
			v, _ := AdviseWeighing(s, c.ID, 10, e)
			told = append(told, v)
		}
		for _, v := range told {
			if _, err := json.Marshal(v); err != nil {
				t.Fatalf("%T: %v", v, err)
			}
		}
		if took := time.Since(began); took > 2*time.Second {
			t.Fatalf("took %v", took)
		}
	})
	if fits < all/2 {
		t.Errorf("%d of %d facts are of their kind: this tries little", fits, all)
	}
}

// splitValues cuts a list of values at its spaces, but for those in quotes.
func splitValues(list string) []string {
	quoted := false
	return strings.FieldsFunc(list, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == ' ' && !quoted
	})
}

// A helper gives a colour next to no volume and its powder by hand. The advice for its powder still reads.
func TestWeighingForATinyVolume(t *testing.T) {
	s := batch.State{Colours: []batch.Colour{{ID: testID(colourNo), Strength: 25, Depth: 1, Class: "vinyl-sulfone", VolumeML: 1e-308, ColourMore: journal.ColourMore{Grams: 1}}}}
	v, err := AdviseWeighing(s, testID(colourNo), 10, ViewEnv{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(v); err != nil {
		t.Errorf("%v: %+v", err, v)
	}
}
