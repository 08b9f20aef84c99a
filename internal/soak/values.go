package soak

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// judgement is the source of a limit that this program sets.
func judgement(text string) fault.Source {
	return fault.Source{Kind: fault.Judgement, Text: "judgement, no source: " + text}
}

// The usual values of a soak.
var (
	// Strength is the usual strength.
	Strength = fault.Value{Name: "strength of the soak", Value: 50, Unit: "g/L", Low: 35, High: 65,
		Source: fault.Source{Kind: fault.Practice, Text: "common practice, no source: about a cup of soda ash to a gallon of water is 36–65 g/L"}}
	// Time is how long loose goods stand in it.
	Time = fault.Value{Name: "time in the soak", Value: 20 * 60, Unit: "s", Source: fault.CommonPractice}
	// TimeTied is how long tied goods stand in it.
	TimeTied = fault.Value{Name: "time in the soak, already tied", Value: 52.5 * 60, Unit: "s", Low: 45 * 60, High: 60 * 60, Source: fault.CommonPractice}
	// MinRemaining is the share of the bath that must remain to cover the last piece.
	MinRemaining = fault.Value{Name: "bath that must remain", Value: 0.25, Unit: "1", Source: judgement("a quarter of the bath still covers a piece")}
	// KeepStrength is the share of the first strength below which a bath that wet
	// goods have thinned is topped up.
	KeepStrength = fault.Value{Name: "strength to keep", Value: 0.80, Unit: "1", Source: judgement("a fifth of the soda ash less is still within what people use")}
	// ReadilyShare is the share of the limit up to which soda ash dissolves without much
	// stirring.
	ReadilyShare = fault.Value{Name: "share of the limit that dissolves readily", Value: 0.5, Unit: "1", Source: judgement("beyond half of what would dissolve, the last of it takes stirring and time")}
)

// Dissolving is how soda ash dissolves.
type Dissolving string

// How it dissolves.
const (
	DissolvesFully  Dissolving = "yes"
	DissolvesSlowly Dissolving = "slowly"
	DissolvesNot    Dissolving = "no"
)

// Dissolves returns whether c dissolves at t, and the most that does.
func Dissolves(c unit.Concentration, t unit.Temperature) (Dissolving, unit.Concentration) {
	limit := alkali.Limit(t)
	switch {
	case c > limit:
		return DissolvesNot, limit
	case float64(c) > ReadilyShare.Value*float64(limit):
		return DissolvesSlowly, limit
	}
	return DissolvesFully, limit
}
