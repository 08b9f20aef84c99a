package unit

// kindInfo holds the base unit, words and limits of a Kind.
type kindInfo struct {
	base          string  // symbol of the base unit
	words         string  // its name for a person, with "a"
	example       string  // for a hint: texts that are accepted
	canBeNegative bool    // may be less than zero
	quotientOf    [2]Kind // a quotient: the kinds above and below the line
	scale         float64 // a quotient: base units per (base above / base below)
}

var kindInfos = map[Kind]kindInfo{
	KindMass:                  {base: "g", words: "a mass", example: "250 g, 2.5 kg, 4 oz or 1 lb 4 oz"},
	KindVolume:                {base: "mL", words: "a volume", example: "250 mL, 1.5 L, 8 fl oz, 1 1/2 tsp or 1/4 cup"},
	KindTemperature:           {base: "°C", words: "a temperature", example: "21 °C or 70 °F", canBeNegative: true},
	KindTemperatureDifference: {base: "K", words: "a difference of temperature", example: "1.5 °C or 3 °F", canBeNegative: true},
	KindConcentration:         {base: "g/L", words: "a strength", example: "25 g/L or 5 g per 200 mL", quotientOf: [2]Kind{KindMass, KindVolume}, scale: 1000},
	KindDuration:              {base: "s", words: "a length of time", example: "24 h, 5 h 30 min, 90 min or 2:30 (hours and minutes)"},
	KindShare:                 {base: "1", words: "a share", example: "15 % or 0.15", canBeNegative: true},
	KindPH:                    {base: "pH", words: "a pH", example: "11.4 (from 0 to 14)"},
	KindCount:                 {base: "1", words: "a number of pieces", example: "6"},
	KindArea:                  {base: "m²", words: "an area", example: "0.9 m2 or 10 sq ft"},
	KindAreaDensity:           {base: "g/m²", words: "a weight of cloth per area", example: "180 g/m2 or 5 oz/yd2", quotientOf: [2]Kind{KindMass, KindArea}, scale: 1},
	KindSpecificVolume: {base: "L/kg", words: "a volume per mass of cloth", example: "2.2 L/kg",
		quotientOf: [2]Kind{KindVolume, KindMass}, scale: 1},
	KindHardness: {base: "mg/L", words: "a hardness of water", example: "120 mg/L, 1.2 mmol/L, 7 gpg, 8 °dH, 14 °f or 10 °Clark",
		quotientOf: [2]Kind{KindMass, KindVolume}, scale: 1e6},
	KindFlow: {base: "L/min", words: "a flow of water", example: "6 L/min or 1.5 gal/min",
		quotientOf: [2]Kind{KindVolume, KindDuration}, scale: 60. / 1000},
	KindNumber: {base: "1", words: "a number", example: "12.50"},
}

// BaseUnit returns the symbol of k's base unit, as in JSON: "g", "mL",
// "°C", "K", "g/L", "s", "m²", "g/m²", "L/kg", "mg/L", "L/min", "pH", and "1"
// for a share, a count and a number. For an unknown kind it returns "".
func BaseUnit(k Kind) string { return kindInfos[k].base }
