package batchview

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// addAs writes one fact of y's batch by another device, which has seen all of y's.
func (y *testBatch) addAs(device, subject journal.ID, kind string, body any) journal.Fact {
	own := y.a.Device
	defer func() { y.a.Device = own }()
	y.a.Device = device
	return y.add(subject, kind, body)
}

func (y *testBatch) withdraw(device journal.ID, f journal.Fact) journal.Fact {
	return y.addAs(device, "", journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID})
}

func (y *testBatch) helpers() string {
	out := ""
	for _, h := range batch.Build(y.facts).Helpers {
		out += h.Name + ";"
	}
	return out
}

// A closing ends the codes and the helpers before it in the order of stamps, and
// none after it; taken back, all is as it was.
func TestClosingEndsTheSharing(t *testing.T) {
	y := newTestBatch(t, 11, noon)
	hub, kai, ana := y.a.NewID(), y.a.NewID(), y.a.NewID()
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "aa", Until: noon.Add(zone.Hour)})
	if v := y.view(noon); !v.IsShared || len(v.Helpers) != 0 {
		t.Errorf("a code is good, and the view says shared %v with %v", v.IsShared, v.Helpers)
	}
	if y.view(noon.Add(zone.Hour)).IsShared {
		t.Error("the code has run out and the batch is shared")
	}
	y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai's phone"})
	y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai's new name"})
	if got := y.helpers(); got != "Kai's new name;" {
		t.Errorf("who joined twice is %q", got)
	}
	if !y.view(noon.Add(zone.Day)).IsShared {
		t.Error("a helper is in it, and the batch is not shared")
	}
	closed := y.add("", journal.KindShareClosed, struct{}{})
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "bb"})
	y.addAs(hub, ana, journal.KindHelperJoined, journal.DeviceNamed{Name: "Ana"})
	s := batch.Build(y.facts)
	if y.helpers() != "Ana;" || !reflect.DeepEqual(s.ShareCodes, []batch.ShareCode{{Hash: "bb"}}) {
		t.Errorf("after the closing: %q, %v", y.helpers(), s.ShareCodes)
	}
	y.withdraw(y.a.Device, closed)
	if s := batch.Build(y.facts); y.helpers() != "Kai's new name;Ana;" || len(s.ShareCodes) != 2 {
		t.Errorf("after the closing was taken back: %q, %v", y.helpers(), s.ShareCodes)
	}
}

// An owner closes the sharing where the hub is out of reach, and meanwhile a phone
// joins there by the code: once the hub hears of it, that one is out too.
func TestNobodyJoinsWhatWasClosed(t *testing.T) {
	y := newTestBatch(t, 13, noon)
	hub, kai := y.a.NewID(), y.a.NewID()
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "aa"})
	closed := y.add("", journal.KindShareClosed, struct{}{})
	y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai"})
	if got := y.helpers(); got != "" {
		t.Errorf("%q is in", got)
	}
	y.withdraw(y.a.Device, closed)
	if got := y.helpers(); got != "Kai;" {
		t.Errorf("the closing taken back, %q is in", got)
	}
}

// A helper takes back what itself wrote and nothing else, whether it is still
// let in or not: what it tried must not begin to hold when it is sent away.
func TestHelpersTakeBackTheirOwn(t *testing.T) {
	y := newTestBatch(t, 12, noon)
	hub, kai, ana := y.a.NewID(), y.a.NewID(), y.a.NewID()
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "aa"})
	joined := y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai"})
	other := y.addAs(hub, ana, journal.KindHelperJoined, journal.DeviceNamed{Name: "Ana"})
	bag := y.bag("dichlorotriazine", 21)
	look := y.addAs(kai, bag.Subject, journal.KindBagLooked, journal.BagLooked{})
	own := y.addAs(ana, bag.Subject, journal.KindBagLooked, journal.BagLooked{})
	for why, f := range map[string]journal.Fact{"an owner's bag": bag, "another helper's look": own, "another's joining": other, "its own joining": joined} {
		y.withdraw(kai, f)
		if s := batch.Build(y.facts); len(s.Bags) != 1 || len(s.Bags[0].LookTimes) != 2 || len(s.Helpers) != 2 {
			t.Errorf("a helper took back %s", why)
		}
	}
	y.withdraw(kai, look)
	if s := batch.Build(y.facts); len(s.Bags[0].LookTimes) != 1 {
		t.Error("a helper could not take back its own look")
	}
	away := y.withdraw(y.a.Device, joined)
	if s := batch.Build(y.facts); len(s.Bags) != 1 || y.helpers() != "Ana;" {
		t.Errorf("sent away by an owner, what it tried holds: %d bags, helpers %q", len(s.Bags), y.helpers())
	}
	lines := map[journal.ID]HistoryLine{}
	for _, l := range History(y.facts, y.env(noon)) {
		lines[l.FactID] = l
	}
	if !lines[joined.ID].IsWithdrawn || lines[bag.ID].IsWithdrawn || lines[other.ID].IsWithdrawn || !lines[look.ID].IsWithdrawn || lines[away.ID].IsWithdrawn {
		t.Error("the history marks other facts as taken back than the state does")
	}
	// The hub unsays its own word when a helper's phone becomes an owner's.
	y.withdraw(hub, other)
	y.withdraw(ana, bag)
	if s := batch.Build(y.facts); len(s.Bags) != 0 {
		t.Error("a helper that became an owner could not take back another's fact")
	}
}

func TestHistoryNamesWriters(t *testing.T) {
	y := newTestBatch(t, 13, noon)
	hub, kai := y.a.NewID(), y.a.NewID()
	y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai"})
	y.addAs(kai, "", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180, Fibre: "cotton"})
	y.addAs(y.a.NewID(), "", journal.KindShareClosed, struct{}{})
	e := y.env(noon)
	e.Names = map[journal.ID]string{y.a.Device: "kitchen phone", hub: "the computer"}
	var got [][3]string
	for _, l := range History(y.facts, e) {
		got = append(got, [3]string{l.Kind, l.Writer, l.Text})
	}
	want := [][3]string{
		{journal.KindShareClosed, "", "sharing ended: all helpers removed"},
		{journal.KindPieceAdded, "Kai (helper)", "pieces added: apron, 180 g each, cotton"},
		{journal.KindHelperJoined, "", "a helper joined: Kai"},
		{journal.KindBatchStarted, "kitchen phone", "batch started: spring market"},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// The hub ends a code when a phone that knew it is removed. The line says so, and nobody undoes it by a tap.
func TestEndedCodeIsFinal(t *testing.T) {
	y := newTestBatch(t, 15, noon)
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "aa"})
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "aa", Until: y.a.Now})
	lines := History(y.facts, y.env(noon))
	if l := lines[0]; !l.IsFinal || !l.ByHub || !strings.Contains(l.Text, "removed") {
		t.Errorf("%+v", l)
	}
	if l := lines[1]; l.IsFinal || l.ByHub {
		t.Errorf("%+v", l)
	}
}

func TestSensorsOfAPlace(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	id := y.a.NewID()
	y.batch, y.facts = journal.PlaceScope(id), nil
	y.add(id, journal.KindPlaceNamed, journal.PlaceNamed{Name: "shed"})
	one := y.add("", journal.KindPlaceSensed, journal.SensorAdded{Name: "north wall", Hash: "aa"})
	two := y.add("", journal.KindPlaceSensed, journal.SensorAdded{Name: "door", Hash: "bb"})
	y.withdraw(y.a.Device, one)
	p := batch.BuildPlace(y.facts)
	if want := []batch.Sensor{{Name: "door", Hash: "bb", FactID: two.ID}}; !reflect.DeepEqual(p.Sensors, want) || !reflect.DeepEqual(ViewPlace(p, y.env(noon)).Sensors, want) {
		t.Errorf("sensors are %v", p.Sensors)
	}
	// A view goes to JavaScript: a list there is never null.
	for what, v := range map[string]any{"place": ViewPlace(batch.BuildPlace(nil), y.env(noon)), "batch": ViewBatch(batch.Build(nil), y.env(noon))} {
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var m map[string]any
		if err := json.Unmarshal(b, &m); err != nil {
			t.Fatal(err)
		}
		for _, k := range []string{"sensors", "helpers"} {
			if v, here := m[k]; here && v == nil {
				t.Errorf("%s: %s is null", what, k)
			}
		}
	}
}
