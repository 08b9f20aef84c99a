package hub

import (
	"context"
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// sensor reports the temperature of a place.
type sensor struct {
	place journal.ID
	name  string
}

// A sensor may report every second, while a place changes within minutes. So a reading
// is stored only after minReadingInterval, when it differs by minReadingChange or when
// maxReadingInterval has passed.
const (
	minReadingInterval = 5 * zone.Minute
	minReadingChange   = 0.3 // °C
	maxReadingInterval = 30 * zone.Minute
)

// lastReading is the last stored reading of a sensor.
type lastReading struct {
	readAt  zone.Instant
	celsius float64
}

// RecordReading takes a temperature from −40 to 90 °C from the sensor that holds token,
// and stores it where it says something new.
func (h *Hub) RecordReading(ctx context.Context, token string, celsius float64) error {
	if err := h.checkNotExample(); err != nil {
		return err
	}
	if math.IsNaN(celsius) || celsius < -40 || celsius > 90 {
		return fault.New(fault.Input, "a place cannot be %g °C", celsius).WithHint("from -40 to 90 °C")
	}
	code, err := journal.ParseCode(token)
	if err != nil {
		return fault.New(fault.Refused, "the sensor's token is unknown").
			WithHint("add the sensor to its place in the app, and give it the token that the app shows")
	}
	hash := hashOf(code)
	sensors, err := h.sensorsByHash(ctx)
	if err != nil {
		return err
	}
	s, ok := sensors[hash]
	if !ok {
		return fault.New(fault.Refused, "the sensor's token is unknown").
			WithHint("the sensor may have been removed: add it to its place in the app again")
	}
	now := h.system.Now()
	h.mu.Lock()
	last, hasLast := h.lastReadings[hash]
	h.mu.Unlock()
	age, change := now.Sub(last.readAt), math.Abs(celsius-last.celsius)
	if hasLast && age >= 0 && (age < minReadingInterval || change < minReadingChange && age < maxReadingInterval) {
		return nil
	}
	w, err := h.writeFacts(ctx, now, func(w *factWriter) error {
		return w.writeFact(journal.PlaceScope(s.place), s.place, journal.KindPlaceRead, journal.TemperatureReading{Celsius: celsius, Sensor: s.name})
	})
	if err != nil {
		return err
	}
	h.mu.Lock()
	h.lastReadings[hash] = lastReading{now, celsius}
	h.mu.Unlock()
	h.notifySubscribers(w.lastSeq)
	return nil
}
