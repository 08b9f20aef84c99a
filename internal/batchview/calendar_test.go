package batchview

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// calendarYard is a batch with bags in a shed, whose readings it adds to.
type calendarYard struct {
	*testBatch
	shed          journal.ID
	colour, piece journal.ID
}

func newCalendarYard(t testingT) calendarYard {
	y := calendarYard{testBatch: newTestBatch(t, 90, noon)}
	y.shed = y.a.NewID()
	y.place(journal.KindPlaceNamed, journal.PlaceNamed{Name: "shed"})
	y.read(noon, 21)
	y.piece = y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 9, Grams: 180, Fibre: "cotton"}).Subject
	y.colour = y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1}).Subject
	return y
}

// place writes a fact of the shed.
func (y calendarYard) place(kind string, body any) {
	b, _ := json.Marshal(body)
	facts, err := y.a.MakeFacts([]journal.Draft{{Scope: journal.PlaceScope(y.shed), Subject: y.shed, Kind: kind, Body: b}})
	if err != nil {
		y.t.Fatal(err)
	}
	y.facts = append(y.facts, facts...)
}

func (y calendarYard) read(at zone.Instant, celsius float64) {
	y.a.Now = at
	y.place(journal.KindPlaceRead, journal.TemperatureReading{Celsius: celsius})
}

// close closes bag number n in the shed.
func (y calendarYard) close(n int, at zone.Instant) journal.ID {
	y.a.Now = at
	return y.add("", journal.KindBagClosed, journal.BagClosed{Number: n, Place: y.shed, Pieces: []journal.PieceInBag{{Piece: y.piece, Count: 1}},
		Colours: []journal.ColourInBag{{Colour: y.colour, Share: 1}}}).Subject
}

func (y calendarYard) calendar(o CalendarOrder, now zone.Instant) (CalendarFile, error) {
	e := y.env(now)
	e.Places = map[journal.ID]batch.PlaceState{y.shed: batch.BuildPlace(byScope(y.facts)[journal.PlaceScope(y.shed)])}
	return MakeCalendar([]batch.State{batch.Build(y.facts)}, o, e)
}

// events reads a calendar with a parser that is not ours.
func (y calendarYard) events(o CalendarOrder, now zone.Instant) []*ics.VEvent {
	f, err := y.calendar(o, now)
	if err != nil {
		y.t.Fatal(err)
	}
	c, err := ics.ParseCalendar(strings.NewReader(f.Text))
	if err != nil {
		y.t.Fatal(err, f.Text)
	}
	return c.Events()
}

func startOf(t testingT, e *ics.VEvent) zone.Instant {
	at, err := e.GetStartAt()
	if err != nil {
		t.Fatal(err)
	}
	return zone.Instant(at.UnixMilli())
}

func sequenceOf(e *ics.VEvent) (n int) {
	fmt.Sscan(e.GetProperty(ics.ComponentPropertySequence).Value, &n)
	return n
}

// By the usual rule (24 h at 21 °C, common practice) bags closed at 12:00 and 15:00 are
// ready on the next day at 12:00 and 15:00: one event for the shed, with an alarm at both
// ends. It is the same at any time, until a colder reading moves it.
func TestReadingMovesCalendar(t *testing.T) {
	y := newCalendarYard(t)
	y.close(1, noon)
	bag2 := y.close(2, noon.Add(3*zone.Hour))
	before := y.events(CalendarOrder{}, noon.Add(4*zone.Hour))
	if len(before) != 1 || startOf(t, before[0]) != noon.Add(zone.Day) || len(before[0].Alarms()) != 2 {
		t.Fatalf("%+v", before)
	}
	if end, _ := before[0].GetEndAt(); !end.Equal(time.UnixMilli(int64(noon.Add(27 * zone.Hour)))) {
		t.Errorf("it ends at %v", end)
	}
	all := CalendarOrder{}
	first, _ := y.calendar(all, noon.Add(4*zone.Hour))
	later, _ := y.calendar(all, noon.Add(20*zone.Hour))
	if first != later {
		t.Errorf("without a new fact it changed from\n%s\nto\n%s", first.Text, later.Text)
	}
	for _, want := range []string{"SUMMARY:2 bags probably ready: spring market\r\n", "LOCATION:shed\r\n",
		"Bag 1\\, apron: Sun 3 May 12:00\\, to be safe"} {
		if !strings.Contains(strings.ReplaceAll(first.Text, "\r\n ", ""), want) {
			t.Errorf("no %q in\n%s", want, first.Text)
		}
	}

	y.read(noon.Add(5*zone.Hour), 15)
	after := y.events(all, noon.Add(6*zone.Hour))
	if len(after) != 1 || after[0].Id() != before[0].Id() {
		t.Fatalf("the event is another: %+v", after)
	}
	if startOf(t, after[0]) < noon.Add(27*zone.Hour) || sequenceOf(after[0]) <= sequenceOf(before[0]) {
		t.Errorf("colder, and it starts at %d with SEQUENCE %d, before at %d with %d", startOf(t, after[0]), sequenceOf(after[0]),
			startOf(t, before[0]), sequenceOf(before[0]))
	}

	// A bag that is opened leaves it, and the sequence still goes up.
	y.a.Now = noon.Add(26 * zone.Hour)
	y.add(bag2, journal.KindBagOpened, journal.BagOpened{})
	last := y.events(all, noon.Add(27*zone.Hour))
	if len(last) != 1 || sequenceOf(last[0]) <= sequenceOf(after[0]) || len(last[0].Alarms()) != 1 {
		t.Errorf("%+v", last)
	}
}

func TestCalendarOrders(t *testing.T) {
	y := newCalendarYard(t)
	batchID := y.batch.Batch()
	one := y.close(1, noon)
	other := y.a.NewID()
	for _, row := range []struct {
		why  string
		o    CalendarOrder
		file string
		uid  string
	}{
		{"a bag", CalendarOrder{Batch: batchID, Bag: one}, "bag-1-of-spring-market.ics", string(one)},
		{"a batch", CalendarOrder{Batch: batchID}, "spring-market.ics", string(batchID) + "-" + string(y.shed)},
		{"a place", CalendarOrder{Place: y.shed}, "bags-in-shed.ics", string(batchID) + "-" + string(y.shed)},
		{"all", CalendarOrder{}, "coldbatch-when-bags-are-ready.ics", string(batchID) + "-" + string(y.shed)},
	} {
		f, err := y.calendar(row.o, noon)
		if err != nil || f.FileName != row.file || f.EventCount != 1 || !strings.Contains(f.Text, "UID:"+row.uid+"\r\n") {
			t.Errorf("%s: %v %+v", row.why, err, f)
		}
	}
	for _, o := range []CalendarOrder{{Batch: other}, {Place: other}, {Batch: batchID, Bag: other}} {
		if _, err := y.calendar(o, noon); !fault.Is(err, fault.Missing) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	y.add(one, journal.KindBagOpened, journal.BagOpened{})
	if f, err := y.calendar(CalendarOrder{}, noon); err != nil || f.EventCount != 0 || !strings.Contains(f.Text, "END:VCALENDAR") {
		t.Errorf("nothing cures: %v %+v", err, f)
	}
}

// A bag for which no time can be given is named and does not hide the others.
func TestCalendarNamesBagsWithoutTime(t *testing.T) {
	y := newCalendarYard(t)
	y.close(1, noon)
	y.colour = y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "blue", CapLetters: "BE", RGB: "#2244aa", Class: "unknown", Strength: 34, Depth: 1}).Subject
	two := y.close(2, noon)
	f, err := y.calendar(CalendarOrder{Batch: y.batch.Batch()}, noon)
	if err != nil || f.EventCount != 1 || f.Omitted != "no time can be given for bag 2: look at it" {
		t.Errorf("%v %+v", err, f)
	}
	_, err = y.calendar(CalendarOrder{Batch: y.batch.Batch(), Bag: two}, noon)
	if !fault.Is(err, fault.Missing) || !strings.Contains(fault.AsFault(err).Hint, "bag 2") {
		t.Errorf("%v", err)
	}
}
