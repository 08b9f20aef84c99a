package main

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// factGenerator makes the facts that a house records over years: batch after batch, each with
// its pieces, colours and jugs, 60 bags from closing to drying, and the
// temperatures of the places. All of it is invented.
type factGenerator struct {
	tb              testing.TB
	author          journal.Author
	random          *rand.Rand
	places          [2]journal.ID
	batch           journal.ID // the latest
	remainingDrafts []journal.Draft
}

func newFactGenerator(tb testing.TB, seed uint64) *factGenerator {
	s := &factGenerator{tb: tb, random: rand.New(rand.NewPCG(seed, 0))}
	s.author = journal.Author{Now: machineSystem().Now().Add(-1000 * zone.Day), TZ: "Europe/Lisbon", Offset: -40, Random: func(b []byte) {
		for i := range b {
			b[i] = byte(s.random.Uint32())
		}
	}}
	s.author.OffsetMeasured = s.author.Now
	s.author.Device = s.author.NewID()
	for i := range s.places {
		s.places[i] = s.author.NewID()
	}
	return s
}

// next returns the next n facts.
func (s *factGenerator) next(n int) []journal.Fact {
	s.tb.Helper()
	for len(s.remainingDrafts) < n {
		s.draftBatch()
	}
	facts := make([]journal.Fact, 0, n)
	for _, d := range s.remainingDrafts[:n] {
		s.author.Now = s.author.Now.Add(zone.Minute)
		one, err := s.author.MakeFacts([]journal.Draft{d})
		if err != nil {
			s.tb.Fatal(err)
		}
		facts = append(facts, one...)
	}
	s.remainingDrafts = s.remainingDrafts[n:]
	return facts
}

// draftBatch drafts a batch.
func (s *factGenerator) draftBatch() {
	s.batch = s.author.NewID()
	scope := journal.BatchScope(s.batch)
	add := func(subject journal.ID, kind string, body any) journal.ID {
		if subject == "" {
			subject = s.author.NewID()
		}
		s.remainingDrafts = append(s.remainingDrafts, draft(scope, subject, kind, body))
		return subject
	}
	typed := func(property, text string) journal.TypedTexts {
		return journal.TypedTexts{Texts: map[string]string{property: text}}
	}
	add(s.batch, journal.KindBatchStarted, journal.BatchStarted{Name: "spring market, pillowcases & <aprons>", Secret: s.author.NewID(), Note: "invented"})
	var pieces, colours [6]journal.ID
	for i := range pieces {
		pieces[i] = add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "pillowcase", Count: 20, Grams: 142, Fibre: "cotton", Fold: "spiral"})
		colours[i] = add("", journal.KindColourChosen, journal.ColourChosen{Name: "deep yellow", CapLetters: "DY", RGB: "#e9a21b", Class: "dichlorotriazine",
			Strength: 40, Depth: 1, VolumeML: 250, TypedTexts: typed("strength", "4 %")})
		add("", journal.KindJugMixed, journal.JugMixed{Colour: colours[i], PowderGrams: 8.6, VolumeML: 250, UreaGrams: 12.5, TypedTexts: typed("powder", "8.6 g")})
	}
	for n := range 60 {
		place := s.places[n%2]
		bag := journal.BagClosed{Number: n + 1, Place: place, Pieces: []journal.PieceInBag{{Piece: pieces[n%6], Count: 2}}}
		for i := range 2 {
			bag.Colours = append(bag.Colours, journal.ColourInBag{Colour: colours[(n+i)%6], Share: 0.5})
		}
		id := add("", journal.KindBagClosed, bag)
		celsius := float64(100+s.random.IntN(120)) / 10
		s.remainingDrafts = append(s.remainingDrafts, draft(journal.PlaceScope(place), place, journal.KindPlaceRead,
			journal.TemperatureReading{Celsius: celsius, TypedTexts: typed("celsius", fmt.Sprint(celsius, " °C"))}))
		add(id, journal.KindBagOpened, journal.BagOpened{})
		add(id, journal.KindBagRinsed, journal.BagRinsed{Baths: 6})
		add(id, journal.KindBagDone, journal.BagDone{})
	}
	add(s.batch, journal.KindBatchFinished, journal.NoteBody{})
}

// factTexts returns the facts as they are sent.
func factTexts(facts []journal.Fact) [][]byte {
	out := make([][]byte, len(facts))
	for i, f := range facts {
		out[i] = f.Text()
	}
	return out
}
