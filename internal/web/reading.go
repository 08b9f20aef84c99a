package web

import (
	"bytes"
	"encoding/json"
	"math"
	"net/http"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// reading takes a temperature from a sensor, which shows its own token. It comes
// in plain http too: many sensors know no other.
func (s *server) reading(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	scheme, token, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	if token = strings.TrimSpace(token); !strings.EqualFold(scheme, "Bearer") || token == "" || len(token) > 200 {
		return nil, at(http.StatusUnauthorized, fault.New(fault.Refused, "the sensor did not show its token").
			WithHint("send the header `Authorization: Bearer TOKEN`; the app shows the token once when the sensor is added to a place"))
	}
	text, err := body(w, r)
	if err != nil {
		return nil, err
	}
	celsius, err := readReading(text)
	if err != nil {
		return nil, err
	}
	return struct{}{}, s.Reading(token, celsius)
}

// readReading reads what a sensor sends: {"celsius": 18.5}, or the number alone.
func readReading(text []byte) (celsius float64, err error) {
	text = bytes.TrimSpace(text)
	notOne := fault.New(fault.Input, "%q is not a reading", clip(string(text))).WithHint(`send {"celsius": 18.5}, or 18.5 alone`)
	if bytes.HasPrefix(text, []byte("{")) {
		var q struct {
			Celsius *float64 `json:"celsius"`
		}
		if json.Unmarshal(text, &q) != nil || q.Celsius == nil {
			return 0, notOne
		}
		return *q.Celsius, nil
	}
	if len(text) == 0 || len(text) > 40 || strings.Trim(string(text), "+-.0123456789") != "" {
		return 0, notOne // ParseFloat also takes words, and forms of C
	}
	if celsius, err = strconv.ParseFloat(string(text), 64); err != nil || math.IsInf(celsius, 0) {
		return 0, notOne
	}
	return celsius, nil
}
