package soak

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// judgementSource is the source of a limit that this program sets.
func judgementSource(text string) provenance.Source {
	return provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: " + text}
}

// The usual values of a soak.
var (
	// UsualStrength is the usual strength.
	UsualStrength = provenance.Value{Name: "strength of the soak", Value: 50, Unit: "g/L", Low: 35, High: 65,
		Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: about a cup of soda ash to a gallon of water is 36–65 g/L"}}
	// UsualTime says how long loose goods stand in it.
	UsualTime = provenance.Value{Name: "time in the soak", Value: 20 * 60, Unit: "s", Source: provenance.CommonPracticeSource}
	// UsualTimeTied says how long tied goods stand in it.
	UsualTimeTied = provenance.Value{Name: "time in the soak, already tied", Value: 52.5 * 60, Unit: "s", Low: 45 * 60, High: 60 * 60, Source: provenance.CommonPracticeSource}
	// MinRemaining is the share of the bath that must remain to cover the last piece.
	MinRemaining = provenance.Value{Name: "bath that must remain", Value: 0.25, Unit: "1", Source: judgementSource("a quarter of the bath still covers a piece")}
	// MinStrengthShare is the share of the first strength below which a bath that wet
	// goods have thinned is topped up.
	MinStrengthShare = provenance.Value{Name: "strength to keep", Value: 0.80, Unit: "1", Source: judgementSource("a fifth of the soda ash less is still within what people use")}
	// ReadilyDissolvingShare is the share of the limit up to which soda ash dissolves without much
	// stirring.
	ReadilyDissolvingShare = provenance.Value{Name: "share of the limit that dissolves readily", Value: 0.5, Unit: "1", Source: judgementSource("beyond half of what would dissolve, the last of it takes stirring and time")}
)

// Solubility describes how soda ash dissolves.
type Solubility string

// How it dissolves.
const (
	DissolvesFully  Solubility = "yes"
	DissolvesSlowly Solubility = "slowly"
	DissolvesNot    Solubility = "no"
)

// CheckSolubility returns whether c dissolves at t, and the most that does.
func CheckSolubility(c unit.Concentration, t unit.Temperature) (Solubility, unit.Concentration) {
	limit := alkali.SolubilityLimit(t)
	switch {
	case c > limit:
		return DissolvesNot, limit
	case float64(c) > ReadilyDissolvingShare.Value*float64(limit):
		return DissolvesSlowly, limit
	}
	return DissolvesFully, limit
}
