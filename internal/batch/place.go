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
	Version  int             `json:"version"`
	ID       journal.ID      `json:"id"`
	Name     string          `json:"name"`
	TZ       string          `json:"tz"`
	Readings []place.Reading `json:"readings"`
	Usual    *place.Usual    `json:"usual,omitempty"`
	Sensors  []Sensor        `json:"sensors"`
	Last     journal.ID      `json:"last"`
	Facts    int             `json:"facts"`
}

// Sensor is a sensor that reports a place's temperature. Hash is the SHA-256 of
// its token in hex; Fact is what to take back to be rid of it.
type Sensor struct {
	Name string     `json:"name"`
	Hash string     `json:"hash"`
	Fact journal.ID `json:"fact"`
}

// BuildPlace works out one place from its facts, in any order. Helpers write none
// of them, so that every withdrawal holds.
func BuildPlace(facts []journal.Fact) PlaceState {
	all := journal.Ordered(facts)
	s := PlaceState{Version: StateVersion, Sensors: []Sensor{}}
	clocks := readClocks(all)
	for _, x := range all {
		if id := x.Scope.Place(); id != "" {
			s.ID, s.Last = id, x.ID
			s.Facts++
		}
	}
	for _, x := range journal.Effective(all, nil) {
		if x.Scope.Place() == "" {
			continue
		}
		switch x.Kind {
		case "place.named":
			if b, ok := journal.DecodeBody[journal.PlaceNamed](x); ok {
				s.Name, s.TZ = b.Name, x.TZ
			}
		case "place.read":
			if b, ok := journal.DecodeBody[journal.PlaceRead](x); ok {
				at, _ := clocks.correctedTime(x)
				s.Readings = append(s.Readings, reading(at, b))
			}
		case "place.sensed":
			if b, ok := journal.DecodeBody[journal.PlaceSensed](x); ok {
				s.Sensors = append(s.Sensors, Sensor{b.Name, b.Hash, x.ID})
			}
		case "place.usual":
			if b, ok := journal.DecodeBody[journal.PlaceUsual](x); ok {
				s.Usual = &place.Usual{Low: unit.Temperature(b.Low), High: unit.Temperature(b.High)}
			}
		}
	}
	s.Readings = place.Thin(s.Readings)
	return s
}

func reading(at zone.Instant, b journal.PlaceRead) place.Reading {
	r := place.Reading{At: at, Celsius: unit.Temperature(b.Celsius)}
	if b.Error != nil {
		r.Error = unit.Difference(*b.Error)
	}
	return r
}
