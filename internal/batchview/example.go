package batchview

import (
	"encoding/json"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// ExampleNote marks all of the example as invented.
const ExampleNote = "invented: two neighbours, a spring market, no real person, batch or result"

// Example returns the facts of an invented scenario as of now: two
// neighbours dye pillowcases, aprons and tees for a spring market. One batch has
// bags at every stage of the cure, another is being planned, a third is done.
func Example(now zone.Instant, tz string, random func([]byte)) ([]journal.Fact, error) {
	x := exampleBuilder{author: journal.Author{TZ: tz, Random: random}, now: now}
	x.author.Device = x.author.NewID()
	shed, kitchen := x.author.NewID(), x.author.NewID()
	x.addPlace(shed, "shed", 11, 19)
	x.addPlace(kitchen, "kitchen shelf", 19, 22)
	x.addReadings(shed, []hourlyReading{{50, 17}, {42, 15}, {34, 12}, {29, 18}, {24, 19}, {18, 16}, {10, 12.5}, {4, 16}, {0.7, 18}})
	x.addReadings(kitchen, []hourlyReading{{49, 21}, {25, 21.5}, {2, 21}})
	x.addFinishedBatch(kitchen)
	x.addCuringBatch(shed, kitchen)
	x.addPlannedBatch(x.addShelf())
	return x.facts, x.err
}

type exampleBuilder struct {
	author journal.Author
	now    zone.Instant
	facts  []journal.Fact
	err    error
}

// hourlyReading is a temperature some hours before now.
type hourlyReading struct{ hours, celsius float64 }

// add writes one fact, hours before now.
func (x *exampleBuilder) add(hours float64, scope journal.Scope, subject journal.ID, kind string, body any) journal.ID {
	if x.err != nil {
		return subject
	}
	b, err := json.Marshal(body)
	if err != nil {
		x.err = fault.New(fault.Internal, "the example's %s does not encode", kind)
		return subject
	}
	x.author.Now = x.now.Add(-zone.HoursSpan(hours))
	if subject == "" {
		subject = x.author.NewID()
	}
	facts, err := x.author.MakeFacts([]journal.Draft{{Scope: scope, Subject: subject, Kind: kind, Body: b}})
	if err != nil {
		x.err = err
		return subject
	}
	x.facts = append(x.facts, facts...)
	return subject
}

func (x *exampleBuilder) addPlace(id journal.ID, name string, low, high float64) {
	s := journal.PlaceScope(id)
	x.add(60, s, id, journal.KindPlaceNamed, journal.PlaceNamed{Name: name})
	x.add(60, s, id, journal.KindPlaceUsual, journal.UsualTemperatures{Low: low, High: high})
}

func (x *exampleBuilder) addReadings(id journal.ID, list []hourlyReading) {
	for _, r := range list {
		x.add(r.hours, journal.PlaceScope(id), id, journal.KindPlaceRead, journal.TemperatureReading{Celsius: r.celsius})
	}
}

// startBatch begins a batch and returns its scope and id.
func (x *exampleBuilder) startBatch(hours float64, name string) (journal.Scope, journal.ID) {
	id := x.author.NewID()
	s := journal.BatchScope(id)
	x.add(hours, s, id, journal.KindBatchStarted, journal.BatchStarted{Name: name, Secret: x.author.NewID(), Note: ExampleNote})
	x.add(hours, s, x.author.Device, journal.KindNumbersLeased, journal.NumbersLeased{Device: x.author.Device, FirstNumber: 1, LastNumber: journal.LeaseSize})
	return s, id
}

func (x *exampleBuilder) addPieces(hours float64, s journal.Scope, kind string, count int, grams float64, assumed bool, fold string) journal.ID {
	return x.add(hours, s, "", journal.KindPieceAdded, journal.PieceAdded{Kind: kind, Count: count, Grams: grams, WeightAssumed: assumed, Fibre: "cotton", Fold: fold})
}

func (x *exampleBuilder) addColour(hours float64, s journal.Scope, name, caps, rgb, typed string, ml float64) journal.ID {
	return x.add(hours, s, "", journal.KindColourChosen, journal.ColourChosen{Name: name, CapLetters: caps, RGB: rgb, Class: "dichlorotriazine",
		Strength: presetStrengths[typed], Depth: 1, VolumeML: ml, TypedTexts: journal.TypedTexts{Texts: map[string]string{"strength": typed}}})
}

func (x *exampleBuilder) addBag(hours float64, s journal.Scope, number int, piece journal.ID, place journal.ID, colours ...journal.ID) journal.ID {
	b := journal.BagClosed{Number: number, Place: place, Pieces: []journal.PieceInBag{{Piece: piece, Count: 1}}}
	for _, c := range colours {
		b.Colours = append(b.Colours, journal.ColourInBag{Colour: c})
	}
	b.Colours = evenShares(b.Colours)
	return x.add(hours, s, "", journal.KindBagClosed, b)
}

func (x *exampleBuilder) addSoak(hours float64, s journal.Scope, water, soda float64) {
	warm := 30.0
	id := x.add(hours, s, "", journal.KindSoakMixed, journal.SoakMixed{WaterML: water, SodaGrams: soda, Celsius: &warm})
	x.add(hours-0.2, s, id, journal.KindSoakBegun, journal.SoakPieces{})
	x.add(hours-0.6, s, id, journal.KindSoakEnded, journal.SoakPieces{})
}

func (x *exampleBuilder) addCuringBatch(shed, kitchen journal.ID) {
	s, _ := x.startBatch(54, "spring market")
	cases := x.addPieces(53, s, "pillowcase", 3, 142, false, "spiral")
	aprons := x.addPieces(53, s, "apron", 2, 180, true, "stripes")
	tees := x.addPieces(53, s, "tee-l", 2, 171, false, "rings")
	rust := x.addColour(52.5, s, "rust", "RT", "#b5372a", middleStrength, 250)
	yellow := x.addColour(52.5, s, "deep yellow", "DY", "#e9a21b", mildStrength, 250)
	green := x.addColour(52.5, s, "blue-green", "BG", "#17606b", middleStrength, 250)
	x.addSoak(52, s, 4000, 200)
	x.add(51, s, "", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 8.6, VolumeML: 250})
	x.add(50.9, s, "", journal.KindJugMixed, journal.JugMixed{Colour: yellow, PowderGrams: 6.5, VolumeML: 250})
	x.add(50.8, s, "", journal.KindJugMixed, journal.JugMixed{Colour: green, PowderGrams: 8.5, VolumeML: 250})
	x.addBag(50, s, 1, cases, shed, rust, yellow)
	opened := x.addBag(49.5, s, 2, cases, kitchen, rust, green)
	x.add(2.5, s, opened, journal.KindBagOpened, journal.BagOpened{})
	x.addBag(31, s, 3, aprons, shed, yellow, green)
	x.addBag(22, s, 4, tees, shed, rust, yellow, green)
	x.addBag(5, s, 5, tees, shed, green)
}

// addShelf puts powders, soda ash, bags, bottles and a scale on the shelf, and returns the id of the
// green powder.
func (x *exampleBuilder) addShelf() (green journal.ID) {
	stock := func(b journal.StockDescribed, amount, price float64) journal.ID {
		id := x.add(24*30, journal.ShelfScope, "", journal.KindStockKnown, b)
		if amount > 0 {
			x.add(24*30, journal.ShelfScope, id, journal.KindStockBought, journal.StockMoved{Amount: amount, Price: price, Currency: "EUR"})
		}
		return id
	}
	strength, step, bottle, keep := 40.0, 0.1, 240.0, 20.0
	powder := journal.StockDescribed{Name: "leaf green", StockType: "dye", Class: "dichlorotriazine", RGB: "#3d6b35", Strength: &strength, Lot: "12",
		Opened: x.now.Add(-40 * zone.Day)}
	green = stock(powder, 30, 9.6)
	old := powder
	old.Name, old.RGB, old.Lot, old.Opened, old.MinStock = "violet", "#6b3f8c", "7", x.now.Add(-500*zone.Day), &keep
	stock(old, 12, 0)
	stock(journal.StockDescribed{Name: "soda ash", StockType: "alkali"}, 1000, 4.5)
	stock(journal.StockDescribed{Name: "bags", StockType: "bag"}, 40, 6)
	stock(journal.StockDescribed{Name: "bottles", StockType: "bottle", CapacityML: &bottle}, 6, 12)
	stock(journal.StockDescribed{Name: "pocket scale", StockType: "scale", ScaleStep: &step}, 1, 0)
	currency, hardness := "EUR", 190.0
	x.add(24*30, journal.ShelfScope, "", journal.KindSumsSet, journal.SumsSet{Currency: &currency, Hardness: &hardness})
	return green
}

func (x *exampleBuilder) addPlannedBatch(green journal.ID) {
	s, _ := x.startBatch(3, "aprons for the stall")
	x.addPieces(2.9, s, "apron", 4, 180, true, "")
	x.addPieces(2.8, s, "tea-towel", 6, 60, true, "wedge")
	x.add(2.7, s, "", journal.KindColourChosen, journal.ColourChosen{Name: "leaf green", CapLetters: "LG", RGB: "#3d6b35", Class: "dichlorotriazine", Strength: 40, Depth: 1,
		ColourMore: journal.ColourMore{Stock: green}, TypedTexts: journal.TypedTexts{Texts: map[string]string{"strength": middleStrength}}})
	x.addColour(2.6, s, "lemon", "LN", "#f2d22e", mildStrength, 0)
}

func (x *exampleBuilder) addFinishedBatch(kitchen journal.ID) {
	s, id := x.startBatch(24*9, "first try")
	tee := x.addPieces(24*9-1, s, "tee-m", 1, 150, false, "crumple")
	violet := x.addColour(24*9-1, s, "violet", "VT", "#6b3f8c", middleStrength, 120)
	x.addSoak(24*9-2, s, 2000, 100)
	x.add(24*9-3, s, "", journal.KindJugMixed, journal.JugMixed{Colour: violet, PowderGrams: 4.1, VolumeML: 120})
	bag := x.addBag(24*9-4, s, 1, tee, kitchen, violet)
	x.add(24*8-5, s, bag, journal.KindBagOpened, journal.BagOpened{})
	x.add(24*8-6, s, bag, journal.KindBagRinsed, journal.BagRinsed{Baths: 6})
	x.add(24*8-9, s, bag, journal.KindBagDone, journal.BagDone{})
	x.add(24*8-9, s, bag, journal.KindResultRated, journal.ResultRated{Overall: 4, Bright: 5, White: "some", Bled: "none", Note: ExampleNote})
	x.add(24*8-10, s, id, journal.KindBatchFinished, journal.NoteBody{})
}
