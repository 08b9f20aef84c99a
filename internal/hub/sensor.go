package hub

import (
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// sensor is one that reports to a place.
type sensor struct {
	place journal.ID
	name  string
}

// Reading is what a sensor says, −40 to 90 °C.
type Reading struct {
	Celsius float64 `json:"celsius"`
}

// A sensor may report every second; a place changes within minutes. A reading that
// says nothing new is taken and not kept.
const (
	minReadingInterval = 5 * zone.Minute
	minReadingChange   = 0.3 // °C
	maxReadingInterval = 30 * zone.Minute
)

type lastReading struct {
	at      zone.Instant
	celsius float64
}

// RecordReading takes a reading from the sensor that holds token.
func (h *Hub) RecordReading(token string, r Reading) error {
	if err := h.checkNotExample(); err != nil {
		return err
	}
	if math.IsNaN(r.Celsius) || r.Celsius < -40 || r.Celsius > 90 {
		return fault.New(fault.Input, "%g °C is not the temperature of a place", r.Celsius).WithHint("from -40 to 90 °C")
	}
	code, err := journal.ParseCode(token)
	if err != nil {
		return fault.New(fault.Refused, "the token of the sensor is not one that this program knows").
			WithHint("add the sensor to its place in the app, and give it the token that is shown there")
	}
	hash := hashOf(code)
	known, err := h.sensorsByHash()
	if err != nil {
		return err
	}
	s, ok := known[hash]
	if !ok {
		return fault.New(fault.Refused, "the token of the sensor is not one that this program knows").
			WithHint("it may have been taken back: add the sensor to its place in the app again")
	}
	now := h.system.Now()
	h.mu.Lock()
	last, had := h.lastReadings[hash]
	h.mu.Unlock()
	since, by := now.Sub(last.at), math.Abs(r.Celsius-last.celsius)
	if had && since >= 0 && (since < minReadingInterval || by < minReadingChange && since < maxReadingInterval) {
		return nil
	}
	w, err := h.writeFacts(now, func(w *factWriter) error {
		return w.writeFact(journal.PlaceScope(s.place), s.place, journal.KindPlaceRead, journal.PlaceRead{Celsius: r.Celsius, Sensor: s.name})
	})
	if err != nil {
		return err
	}
	h.mu.Lock()
	if h.lastReadings == nil {
		h.lastReadings = map[string]lastReading{}
	}
	h.lastReadings[hash] = lastReading{now, r.Celsius}
	h.mu.Unlock()
	h.notifySubscribers(w.lastSeq)
	return nil
}
