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

// recordReading takes a temperature from a sensor, which sends its own token. Sensors
// may use plain http, because many support nothing else. Wrong tokens are not counted:
// nobody guesses 80 bits, and a count would let a guesser silence the sensors.
func (s *server) recordReading(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	scheme, token, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	if token = strings.TrimSpace(token); !strings.EqualFold(scheme, "Bearer") || token == "" || len(token) > 200 {
		return nil, withStatus(http.StatusUnauthorized, fault.New(fault.Refused, "the sensor sent no token").
			WithHint("send the header `Authorization: Bearer TOKEN`; the app shows the token once when the sensor is added to a place"))
	}
	text, err := readBody(w, r, maxBody)
	if err != nil {
		return nil, err
	}
	celsius, err := parseReading(text)
	if err != nil {
		return nil, err
	}
	return struct{}{}, s.ActiveHub().RecordReading(r.Context(), token, celsius)
}

// parseReading parses what a sensor sends: {"celsius": 18.5}, or the number alone.
func parseReading(text []byte) (celsius float64, err error) {
	text = bytes.TrimSpace(text)
	errFormat := fault.New(fault.Input, "%q is not a reading", truncate(string(text))).WithHint(`send {"celsius": 18.5}, or just 18.5`)
	if bytes.HasPrefix(text, []byte("{")) {
		var q struct {
			Celsius *float64 `json:"celsius"`
		}
		if json.Unmarshal(text, &q) != nil || q.Celsius == nil {
			return 0, errFormat
		}
		return *q.Celsius, nil
	}
	if len(text) == 0 || len(text) > 40 || strings.Trim(string(text), "+-.0123456789") != "" {
		return 0, errFormat // ParseFloat also accepts words and hexadecimal numbers
	}
	if celsius, err = strconv.ParseFloat(string(text), 64); err != nil || math.IsInf(celsius, 0) {
		return 0, errFormat
	}
	return celsius, nil
}
