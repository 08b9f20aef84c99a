package journal

import (
	"bytes"
	"encoding/json"
	"math/rand"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// newAuthor is a device with random ids from a seed.
func newAuthor(seed int64) *Author {
	r := rand.New(rand.NewSource(seed))
	a := &Author{TZ: "Europe/Lisbon", Now: 1777000000000, Random: func(b []byte) { r.Read(b) }}
	a.Device = a.NewID()
	return a
}

func mustWrite(t testing.TB, a *Author, drafts ...Draft) []Fact {
	t.Helper()
	facts, err := a.MakeFacts(drafts)
	if err != nil {
		t.Fatal(err)
	}
	return facts
}

func newDraft(scope Scope, kind string, body any) Draft {
	b, err := json.Marshal(body)
	if err != nil {
		panic(err)
	}
	return Draft{Scope: scope, Kind: kind, Body: b}
}

// A fact of a newer program has unknown fields, kinds and bodies; it must come back byte
// for byte.
func TestUnknownFieldsStayUnchanged(t *testing.T) {
	a := newAuthor(1)
	id, dev, sub := a.NewID(), a.NewID(), a.NewID()
	text := `{"id":"` + string(id) + `","stamp":"019d00000000002a","device":"` + string(dev) + `","scope":"batch/` + string(sub) +
		`","subject":"` + string(sub) + `","kind":"bag.steamed","v":7,"need":9,"at":1777000000000,"tz":"Asia/Tokyo","mood":{"a":[1,2.50,"<b>&"]},"body":{"x":1e2,"y":"é"}}`
	var f Fact
	if err := json.Unmarshal([]byte(text), &f); err != nil {
		t.Fatal(err)
	}
	if got := string(f.Text()); got != text {
		t.Errorf("came back as\n%s\nnot\n%s", got, text)
	}
	whole, err := json.Marshal([]Fact{f, f})
	if err != nil {
		t.Fatal(err)
	}
	var back []Fact
	if err := json.Unmarshal(whole, &back); err != nil {
		t.Fatal(err)
	}
	if len(back) != 2 || back[0].ID != id || !sameJSON(t, back[1].Text(), []byte(text)) {
		t.Errorf("a batch of them came back as %s", whole)
	}
}

func sameJSON(t testing.TB, a, b []byte) bool {
	t.Helper()
	var x, y any
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	p, _ := json.Marshal(x)
	q, _ := json.Marshal(y)
	return bytes.Equal(p, q)
}

func TestEnvelopeIsChecked(t *testing.T) {
	good := string(mustWrite(t, newAuthor(2), newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: "yard phone"}))[0].Text())
	for _, c := range []struct{ why, old, new string }{
		{"not JSON", good, good[:len(good)-1]},
		{"an id in upper case would be another spelling of one id", `"id":"`, `"id":"X`},
		{"a scope of no sort", `"scope":"house"`, `"scope":"garage"`},
		{"a scope without an id", `"scope":"house"`, `"scope":"batch/"`},
		{"a kind of one word", `"kind":"device.named"`, `"kind":"device"`},
		{"a kind that could be a path", `"kind":"device.named"`, `"kind":"device../named"`},
		{"a stamp in the far future leaves no room after it", `"stamp":"`, `"stamp":"f`},
		{"a body that is a list", `"body":{"name":"yard phone"}`, `"body":[]`},
		{"no body", `,"body":{"name":"yard phone"}`, ``},
		{"before 1970", `"at":1777000000000`, `"at":-1`},
		{"after 2200", `"at":1777000000000`, `"at":9777000000000`},
		{"a clock that is off by more than there is time", `,"body"`, `,"clock":{"offset":-9223372036854775808,"age":0},"body"`},
		{"version zero", `"v":1`, `"v":0`},
		{"a body too large", `"yard phone"`, `"` + strings.Repeat("x", maxBody) + `"`},
	} {
		var f Fact
		err := json.Unmarshal([]byte(strings.Replace(good, c.old, c.new, 1)), &f)
		if err == nil {
			t.Errorf("%s: was read", c.why)
		}
	}
}

func TestWriteRefusals(t *testing.T) {
	a := newAuthor(3)
	batch := BatchScope(a.NewID())
	for _, c := range []struct {
		why   string
		d     Draft
		says  string
		seen0 Stamp
	}{
		{why: "unknown kind", d: newDraft(batch, "bag.boiled", NoteBody{}), says: "bag.boiled"},
		{why: "wrong scope", d: newDraft(ShelfScope, KindBagDone, BagDone{}), says: "batch"},
		{why: "no colour", d: newDraft(batch, KindBagClosed, BagClosed{Number: 3, Pieces: []PieceInBag{{a.NewID(), 1}}}), says: "no colour"},
		{why: "cap letter that is a size", d: newDraft(batch, KindColourChosen, ColourChosen{Name: "lemon", CapLetters: "L", RGB: "#ffee00", Class: "unknown", Strength: 20, Depth: 1}), says: "sizes"},
		{why: "no powder weighs less than nothing", d: newDraft(batch, KindJugMixed, JugMixed{Colour: a.NewID(), PowderGrams: -1, VolumeML: 60}), says: "-1"},
		{why: "body of another shape", d: Draft{Scope: batch, Kind: KindBagClosed, Body: []byte(`{"number":"eight"}`)}, says: KindBagClosed},
		{why: "night warmer than day", d: newDraft(PlaceScope(a.NewID()), KindPlaceUsual, UsualTemperatures{Low: 20, High: 10}), says: "10"},
	} {
		before := a.LatestStamp
		_, err := a.MakeFacts([]Draft{newDraft(batch, KindBatchFinished, NoteBody{}), c.d})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want a sentence with %q", c.why, err, c.says)
		}
		if a.LatestStamp != before {
			t.Errorf("%s: the clock moved though nothing was written", c.why)
		}
		if f := fault.AsFault(err); err != nil && f.Code == fault.Internal {
			t.Errorf("%s: told as our own mistake", c.why)
		}
	}
}

// Whether the clock jumps back, stops or runs ahead, a later fact never has a stamp before
// an earlier one of the same writer, nor before one that the writer had seen.
func TestStampAfterItsCause(t *testing.T) {
	a := newAuthor(4)
	var last Stamp
	for _, step := range []zone.Span{0, 0, zone.Hour, -3 * zone.Hour, 0, -7 * zone.Day, zone.Minute} {
		a.Now = a.Now.Add(step)
		f := mustWrite(t, a, newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: "p"}))[0]
		if !last.Less(f.Stamp) {
			t.Fatalf("stamp %s is not after %s", f.Stamp, last)
		}
		last = f.Stamp
	}
	far := Stamp{Milliseconds: a.Now.Add(200 * zone.Day), Counter: 1<<16 - 1}
	a.LatestStamp = far
	if f := mustWrite(t, a, newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: "p"}))[0]; !far.Less(f.Stamp) {
		t.Errorf("stamp %s does not follow the one that was seen, %s", f.Stamp, far)
	}
}

// Whoever brings a fact with the last stamp that reads does not make the others
// write what nobody reads.
func TestLastStamp(t *testing.T) {
	a := newAuthor(5)
	for _, seen := range []Stamp{{MaxTime, 0}, {MaxTime, 1<<16 - 2}, {MaxTime, 1<<16 - 1}, {MaxTime - 1, 1<<16 - 1}} {
		a.LatestStamp = seen
		f := mustWrite(t, a, newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: "p"}))[0]
		var again Fact
		if err := json.Unmarshal(f.Text(), &again); err != nil || f.Stamp.Less(seen) {
			t.Errorf("after %s comes %s: %v", seen, f.Stamp, err)
		}
	}
	if s := NewStamp(Stamp{}, MaxTime+1); s.Milliseconds != MaxTime {
		t.Errorf("a clock beyond the end stamps %s", s)
	}
}

// A clock that was set back behind its own measurement does not vouch for the
// fact: only the next measurement can.
func TestClockSetBackIsUnknown(t *testing.T) {
	a := newAuthor(6)
	a.Offset, a.OffsetMeasured = zone.Minute, a.Now
	d := newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: "p"})
	a.Now = a.Now.Add(zone.Hour)
	if f := mustWrite(t, a, d)[0]; f.Clock == nil || f.Clock.Age != zone.Hour || f.Clock.Offset != zone.Minute {
		t.Errorf("an hour after the measurement the clock is told as %+v", f.Clock)
	}
	a.Now = a.OffsetMeasured.Add(-3 * zone.Hour)
	if f := mustWrite(t, a, d)[0]; f.Clock != nil {
		t.Errorf("set back, the clock is told as %+v", f.Clock)
	}
}

func TestKindsNeverChange(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Kinds {
		if seen[k.Name] || !isKindName(k.Name) || k.Description == "" || k.Version < 1 || k.NeededVersion < 1 || k.newBody == nil {
			t.Errorf("kind %+v is not well told", k)
		}
		seen[k.Name] = true
		for _, s := range strings.Fields(k.Scopes) {
			if !strings.Contains("batch place shelf designs house", s) {
				t.Errorf("kind %s has a scope %q", k.Name, s)
			}
		}
	}
}

// Facts written by Author.MakeFacts are read by the fast parser. Facts that differ by a space,
// an escape or a field are read too, with the same result.
func TestReadFactsFast(t *testing.T) {
	a := newAuthor(9)
	a.Offset, a.OffsetMeasured = zone.Minute, a.Now.Add(-zone.Hour)
	f := mustWrite(t, a, newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: `"<é>\ {, `}))[0]
	text := string(f.Text())
	if got, ok := parseFactFast([]byte(text)); !ok || !reflect.DeepEqual(got, f) {
		t.Fatalf("%s is read as %+v, %v", text, got, ok)
	}
	for _, other := range []string{
		strings.Replace(text, `"v":1`, `"v": 1`, 1),
		strings.Replace(text, `"v":1`, `"v":1e0`, 1),
		strings.Replace(text, `"v":1`, `"v":01`, 1),
		strings.Replace(text, `"body":{`, `"body":{ `, 1),
		strings.Replace(text, `"body":{`, `"more":7,"body":{`, 1),
		strings.Replace(text, `"device.named"`, `"device\u002enamed"`, 1),
		strings.TrimSuffix(text, "}") + `,"more":{}}`,
		strings.TrimSuffix(text, "}"),
		text + " ",
		text + "}",
		"",
	} {
		if other == text {
			t.Error("nothing differs")
		}
		if got, ok := parseFactFast([]byte(other)); ok {
			t.Errorf("%s is read fast as %+v", other, got)
		}
		var one, two Fact
		if err := one.UnmarshalJSON([]byte(other)); (err == nil) != (two.parse([]byte(other)) == nil) || !reflect.DeepEqual(one, two) {
			t.Errorf("%s: %v", other, err)
		}
	}
}

func FuzzFact(f *testing.F) {
	a := newAuthor(5)
	f.Add(mustWrite(f, a, newDraft(HouseScope, KindDeviceNamed, DeviceNamed{Name: "<é> \u2028"}))[0].Text())
	f.Add([]byte(`{"id":"","body":{}}`))
	f.Add([]byte(`{"id":"00000000000000000000000000","stamp":"0000000000000000","device":"00000000000000000000000000","scope":"shelf","subject":"00000000000000000000000000","kind":"a.b","v":1,"need":1,"at":0,"tz":"","clock":{"offset":-9223372036854775808,"age":0},"body":{"a":1}}`))
	a.Offset, a.OffsetMeasured = -zone.Minute, a.Now
	f.Add(mustWrite(f, a, newDraft(BatchScope(a.NewID()), KindBatchChanged, BatchChanged{}))[0].Text())
	f.Fuzz(func(t *testing.T, b []byte) {
		// What is read fast is what is read slowly.
		if fast, ok := parseFactFast(b); ok {
			var slow Fact
			if err := slow.parse(b); (err == nil) != (fast.check() == nil) || err == nil && !reflect.DeepEqual(fast, slow) {
				t.Fatalf("%s is read as %+v, and slowly as %+v, %v", b, fast, slow, err)
			}
		}
		var x Fact
		if json.Unmarshal(b, &x) != nil {
			return
		}
		text := append([]byte(nil), x.Text()...)
		var y Fact
		if err := json.Unmarshal(text, &y); err != nil {
			t.Fatalf("%s was read once and not again: %v", text, err)
		}
		if !bytes.Equal(y.Text(), text) || y.ID != x.ID || y.Stamp != x.Stamp {
			t.Fatalf("%s came back as %s", text, y.Text())
		}
	})
}
