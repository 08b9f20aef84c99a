package batch

import (
	"coldbatch/internal/journal"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// PlaceState is a place as its facts give it: its name, its readings, thinned,
// its usual night and day, and the sensors that report there.
type PlaceState struct {
	Version    int                      `json:"version"`
	ID         journal.ID               `json:"id"`
	Name       string                   `json:"name"`
	TZ         string                   `json:"tz"`
	Readings   []place.Reading          `json:"readings"`
	Usual      *place.UsualTemperatures `json:"usual,omitempty"`
	Sensors    []Sensor                 `json:"sensors"`
	LastFact   journal.ID               `json:"last"`
	FactCount  int                      `json:"facts"`
	ValidUntil zone.Instant             `json:"until,omitempty"` // as in State
}

// Sensor is a sensor that reports a place's temperature. Hash is the SHA-256 of
// its token in hex. Withdrawing the fact FactID removes it.
type Sensor struct {
	Name   string     `json:"name"`
	Hash   string     `json:"hash"`
	FactID journal.ID `json:"fact"`
}

// BuildPlaceAsOf is BuildPlace at a time by the hub's clock, as BuildAsOf is Build.
func BuildPlaceAsOf(facts []journal.Fact, now zone.Instant) PlaceState {
	facts, until := journal.OrderAheadFirst(facts, now)
	s := BuildPlace(facts)
	s.ValidUntil = until
	return s
}

// BuildPlace works out one place from its facts, in any order. Helpers write none
// of them, so that every withdrawal holds.
func BuildPlace(facts []journal.Fact) PlaceState {
	all := journal.SortedByStamp(facts)
	s := PlaceState{Version: CacheVersion, Sensors: []Sensor{}}
	effective := journal.Effective(all, nil)
	clocks := ReadClocks(effective)
	for _, x := range all {
		if id := x.Scope.Place(); id != "" {
			s.ID, s.LastFact = id, x.ID
			s.FactCount++
		}
	}
	for _, x := range effective {
		if change := placeChanges[x.Kind]; change != nil && x.Scope.Place() != "" {
			at, _ := clocks.CorrectedTime(x)
			change(&s, x, at)
		}
	}
	s.Readings = place.ThinReadings(s.Readings)
	return s
}

// placeChanges has a function for each kind of fact that changes a place.
var placeChanges = map[string]func(s *PlaceState, f journal.Fact, at zone.Instant){
	journal.KindPlaceNamed: func(s *PlaceState, f journal.Fact, _ zone.Instant) {
		if b, ok := journal.DecodeBody[journal.PlaceNamed](f); ok {
			s.Name, s.TZ = b.Name, f.TZ
		}
	},
	journal.KindPlaceRead: func(s *PlaceState, f journal.Fact, at zone.Instant) {
		if b, ok := journal.DecodeBody[journal.TemperatureReading](f); ok {
			s.Readings = append(s.Readings, toReading(at, b))
		}
	},
	journal.KindPlaceExtremes: func(s *PlaceState, f journal.Fact, _ zone.Instant) {
		if b, ok := journal.DecodeBody[journal.PlaceExtremes](f); ok {
			e := place.ErrorOf(b.Where)
			s.Readings = append(s.Readings, place.Reading{At: b.LowAt, Celsius: unit.Temperature(b.Low), Error: e},
				place.Reading{At: b.HighAt, Celsius: unit.Temperature(b.High), Error: e})
		}
	},
	journal.KindPlaceSensed: func(s *PlaceState, f journal.Fact, _ zone.Instant) {
		if b, ok := journal.DecodeBody[journal.SensorAdded](f); ok {
			s.Sensors = append(s.Sensors, Sensor{b.Name, b.Hash, f.ID})
		}
	},
	journal.KindPlaceUsual: func(s *PlaceState, f journal.Fact, _ zone.Instant) {
		if b, ok := journal.DecodeBody[journal.UsualTemperatures](f); ok {
			s.Usual = &place.UsualTemperatures{Low: unit.Temperature(b.Low), High: unit.Temperature(b.High)}
		}
	},
}

func toReading(at zone.Instant, b journal.TemperatureReading) place.Reading {
	r := place.Reading{At: at, Celsius: unit.Temperature(b.Celsius), Error: place.ErrorOf(b.Where)}
	if b.Error != nil {
		r.Error = unit.TemperatureDifference(*b.Error)
	}
	return r
}
