package house

import (
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/journal"
)

// factWriter writes facts of the house by one phone.
type factWriter struct {
	t journal.Author
	n byte
}

func (p *factWriter) write(tb rapid.TB, subject journal.ID, kind string, body any) journal.Fact {
	tb.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		tb.Fatal(err)
	}
	p.t.Random = func(b []byte) { p.n++; b[0], b[len(b)-1] = p.n, p.n }
	p.t.Now++
	facts, err := p.t.MakeFacts([]journal.Draft{{Scope: journal.HouseScope, Subject: subject, Kind: kind, Body: text}})
	if err != nil {
		tb.Fatal(err)
	}
	return facts[0]
}

var (
	yardDevice    = journal.NewID([16]byte{1})
	kitchenDevice = journal.NewID([16]byte{2})
)

func newFactWriter() *factWriter {
	return &factWriter{t: journal.Author{Device: journal.NewID([16]byte{9}), Now: 1_780_000_000_000, TZ: "Europe/Lisbon"}}
}

// A calendar is listed until its fact is withdrawn, and again when that is restored.
func TestCalendars(t *testing.T) {
	p := newFactWriter()
	facts := []journal.Fact{p.write(t, yardDevice, journal.KindCalendarOpened, journal.CalendarOpened{Name: "tablet", Hash: "h1"})}
	second := p.write(t, kitchenDevice, journal.KindCalendarOpened, journal.CalendarOpened{Name: "computer", Hash: "h2"})
	facts = append(facts, second, p.write(t, yardDevice, journal.KindDeviceNamed, journal.DeviceNamed{Name: "h3"}))
	names := func() (list []string) {
		for _, c := range ListCalendars(facts) {
			list = append(list, c.Name+" "+c.Hash)
		}
		return list
	}
	if got := names(); !reflect.DeepEqual(got, []string{"tablet h1", "computer h2"}) {
		t.Errorf("%q", got)
	}
	facts = append(facts, p.write(t, kitchenDevice, journal.KindFactWithdrawn, journal.FactTarget{Target: second.ID}))
	if got := names(); !reflect.DeepEqual(got, []string{"tablet h1"}) {
		t.Errorf("after one was closed: %q", got)
	}
	facts = append(facts, p.write(t, kitchenDevice, journal.KindFactRestored, journal.FactTarget{Target: second.ID}))
	if got := names(); len(got) != 2 {
		t.Errorf("after that was restored: %q", got)
	}
}

func TestPhones(t *testing.T) {
	p := newFactWriter()
	joined := p.write(t, yardDevice, journal.KindDeviceJoined, journal.DeviceJoined{Name: "Android", Letter: "A"})
	second := p.write(t, kitchenDevice, journal.KindDeviceJoined, journal.DeviceJoined{Name: "iPhone", Letter: "B"})
	named := p.write(t, yardDevice, journal.KindDeviceNamed, journal.DeviceNamed{Name: "yardDevice phone"})
	again := p.write(t, yardDevice, journal.KindDeviceJoined, journal.DeviceJoined{Name: "Android", Letter: "C"})
	out := p.write(t, yardDevice, journal.KindDeviceRevoked, struct{}{})
	twice := p.write(t, yardDevice, journal.KindDeviceRevoked, struct{}{})
	back := p.write(t, "", journal.KindFactWithdrawn, journal.FactTarget{Target: out.ID})
	hide := p.write(t, "", journal.KindFactWithdrawn, journal.FactTarget{Target: joined.ID})

	phone := func(name, letter string, revoked ...journal.ID) Phone {
		return Phone{Device: yardDevice, Name: name, Letter: letter, Joined: joined.At, Revoked: append([]journal.ID{}, revoked...)}
	}
	other := Phone{Device: kitchenDevice, Name: "iPhone", Letter: "B", Joined: second.At, Revoked: []journal.ID{}}
	for _, c := range []struct {
		why   string
		facts []journal.Fact
		want  []Phone
	}{
		{"nobody yet", nil, []Phone{}},
		{"in the order of joining", []journal.Fact{second, joined}, []Phone{phone("Android", "A"), other}},
		{"the name a person gave stays when it joins once more", []journal.Fact{joined, named, again}, []Phone{phone("yardDevice phone", "C")}},
		{"let in no more", []journal.Fact{joined, out}, []Phone{phone("Android", "A", out.ID)}},
		{"two owners sent it away, one took it back", []journal.Fact{joined, out, twice, back}, []Phone{phone("Android", "A", twice.ID)}},
		{"in again", []journal.Fact{joined, back, out}, []Phone{phone("Android", "A")}},
		{"nobody hides a phone by taking back that it joined", []journal.Fact{joined, out, hide}, []Phone{phone("Android", "A", out.ID)}},
		{"sent away before the joining came", []journal.Fact{out}, []Phone{{Device: yardDevice, Revoked: []journal.ID{out.ID}}}},
	} {
		if got := ListPhones(c.facts); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s:\n got %+v\nwant %+v", c.why, got, c.want)
		}
	}
}

// Phones meet in any order: the list must not hang on that.
func TestAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newFactWriter()
		var facts []journal.Fact
		for range rapid.IntRange(0, 12).Draw(t, "facts") {
			who := rapid.SampledFrom([]journal.ID{yardDevice, kitchenDevice}).Draw(t, "who")
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0:
				facts = append(facts, p.write(t, who, journal.KindDeviceJoined, journal.DeviceJoined{Name: "phone", Letter: "A"}))
			case 1:
				facts = append(facts, p.write(t, who, journal.KindDeviceNamed, journal.DeviceNamed{Name: "yardDevice"}))
			case 2:
				facts = append(facts, p.write(t, who, journal.KindDeviceRevoked, struct{}{}))
			case 3:
				if len(facts) > 0 {
					of := rapid.SampledFrom(facts).Draw(t, "of")
					facts = append(facts, p.write(t, "", journal.KindFactWithdrawn, journal.FactTarget{Target: of.ID}))
				}
			}
		}
		mixed := rapid.Permutation(facts).Draw(t, "mixed")
		if a, b := ListPhones(facts), ListPhones(append(mixed, mixed...)); !reflect.DeepEqual(a, b) {
			t.Fatalf("in order %+v, mixed and twice %+v", a, b)
		}
	})
}
