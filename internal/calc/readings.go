package calc

import (
	"strings"

	"coldbatch/internal/cure"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// maxReadings is the most readings that a list may have.
const maxReadings = 1000

// makeCourse builds the temperatures of a place over time from the inputs temperature,
// low, high and reading_error. from is when the bag was closed, or 0 for now.
func makeCourse(g *InputValues, from zone.Instant) (place.TemperatureCourse, error) {
	usual, err := readUsual(g)
	if err != nil {
		return place.TemperatureCourse{}, err
	}
	if !g.Has("temperature") && usual == nil {
		return place.TemperatureCourse{}, g.Missing("temperature", "no temperature is given for the place the bag stands in").
			WithHint("one such as 21 °C, readings such as 2026-05-02T16:00 21 °C; 22:00 16 °C, or low and high of the day")
	}
	e := Get[unit.TemperatureDifference](g, "reading_error")
	if from == 0 {
		from = g.Now
	}
	readings, steady, err := readReadings(g)
	switch {
	case err != nil:
		return place.TemperatureCourse{}, err
	case steady != nil && usual == nil:
		return place.SteadyCourse(*steady, e), nil
	case steady != nil: // the temperature now; later ones follow the usual days
		readings = []place.Reading{{At: g.Now, Celsius: *steady}}
	}
	return place.Build(readings, usual, g.Zone, from, g.Now, from.Add(cure.Horizon), e), nil
}

// readUsual returns the low and the high of the day, nil where neither is given. One
// without the other is a Missing fault.
func readUsual(g *InputValues) (*place.UsualTemperatures, error) {
	switch low, high := g.Has("low"), g.Has("high"); {
	case !low && !high:
		return nil, nil
	case !low:
		return nil, g.Missing("low", "the high of the day is given without its low")
	case !high:
		return nil, g.Missing("high", "the low of the day is given without its high")
	}
	u := place.UsualTemperatures{Low: Get[unit.Temperature](g, "low"), High: Get[unit.Temperature](g, "high")}
	if err := u.Check(); err != nil {
		return nil, fault.AsFault(err).At("low", g.Text("low"))
	}
	return &u, nil
}

// readReadings parses the input temperature: one temperature without a time, or readings
// with their times in any order, each as in 2026-05-02T16:00 21 °C.
func readReadings(g *InputValues) ([]place.Reading, *unit.Temperature, error) {
	items := unit.SplitList(g.Text("temperature"))
	if len(items) > maxReadings {
		return nil, nil, g.Refuse("temperature", "%d readings are too many", len(items)).WithHint("at most %d", maxReadings)
	}
	var readings []place.Reading
	for _, item := range items {
		r, timed, err := readReading(g, item)
		if err == nil {
			err = r.Check()
		}
		if err != nil {
			return nil, nil, fault.AsFault(err).At("temperature", item)
		}
		if !timed && len(items) == 1 {
			return nil, &r.Celsius, nil
		}
		if !timed {
			return nil, nil, fault.New(fault.Input, "%q is one of %d temperatures and has no time", item, len(items)).
				WithHint("a time and a temperature each, such as 2026-05-02T16:00 21 °C; 2026-05-02T22:00 16 °C").At("temperature", item)
		}
		readings = append(readings, r)
	}
	return readings, nil, nil
}

// readReading parses one item: a temperature, or a time and a temperature.
func readReading(g *InputValues, item string) (r place.Reading, timed bool, err error) {
	r.Celsius, err = unit.ParseAs[unit.Temperature](unit.KindTemperature, item)
	if err == nil {
		return r, false, nil
	}
	// Both the time and the temperature may hold spaces: split where both sides parse.
	for i, c := range item {
		if c != ' ' && c != '\u00a0' {
			continue
		}
		celsius, errCelsius := unit.ParseAs[unit.Temperature](unit.KindTemperature, strings.TrimSpace(item[i:]))
		at, errTime := g.Zone.Parse(item[:i], g.Now)
		switch {
		case errCelsius == nil && errTime == nil:
			return place.Reading{At: at, Celsius: celsius}, true, nil
		case errCelsius == nil:
			err = errTime
		case errTime == nil:
			err = errCelsius
		}
	}
	return r, false, err
}
