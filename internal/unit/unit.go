// Package unit defines the quantities of the dyer's work as named types, so that swapped
// arguments do not compile. Call Parse to read what a person wrote and Show to print
// what a scale, jug, spoon or clock can show. The package converts between units; it
// does not deal with dye, powder or cloth.
package unit

// The quantities. Each is a float64 in the base unit that is named.
type (
	Mass                  float64 // grams
	Volume                float64 // millilitres
	Temperature           float64 // degrees Celsius
	TemperatureDifference float64 // kelvin: a difference or an uncertainty of temperature
	Concentration         float64 // grams per litre
	Duration              float64 // seconds
	Share                 float64 // a ratio; 1 is 100 %
	PH                    float64 // pH as a good meter reads it
	Count                 float64 // pieces; a whole number
	Area                  float64 // square metres
	AreaDensity           float64 // grams per square metre
	Hardness              float64 // of water: milligrams per litre, as CaCO3
	SpecificVolume        float64 // litres per kilogram of dry cloth
	Flow                  float64 // litres per minute
	Number                float64 // a bare number: a grade, a price in whatever currency
)

// Kind names a quantity that is chosen at run time, in a calculator's input or a request.
type Kind string

// The kinds, with the base unit that Parse returns and Show takes.
const (
	KindMass                  Kind = "mass"            // g
	KindVolume                Kind = "volume"          // mL
	KindTemperature           Kind = "temperature"     // °C
	KindTemperatureDifference Kind = "difference"      // K, printed °C
	KindConcentration         Kind = "concentration"   // g/L
	KindDuration              Kind = "duration"        // s
	KindShare                 Kind = "share"           // 1; printed %
	KindPH                    Kind = "ph"              // pH
	KindCount                 Kind = "count"           // pieces
	KindArea                  Kind = "area"            // m²
	KindAreaDensity           Kind = "area-density"    // g/m²
	KindSpecificVolume        Kind = "specific-volume" // L/kg
	KindHardness              Kind = "hardness"        // mg/L as CaCO3
	KindFlow                  Kind = "flow"            // L/min
	KindNumber                Kind = "number"          // 1
)

// GramsPerLitre returns the concentration of m in v; zero where v is zero or less.
func GramsPerLitre(m Mass, v Volume) Concentration {
	if v <= 0 {
		return 0
	}
	return Concentration(float64(m) / float64(v) * 1000)
}

// MassIn returns the mass in the volume v of a solution of c.
func (c Concentration) MassIn(v Volume) Mass { return Mass(float64(c) * float64(v) / 1000) }

// Hours returns d in hours.
func (d Duration) Hours() float64 { return float64(d) / 3600 }

// Minutes returns d in minutes.
func (d Duration) Minutes() float64 { return float64(d) / 60 }

// Hours makes a duration of h hours.
func Hours(h float64) Duration { return Duration(h * 3600) }

// Minutes makes a duration of m minutes.
func Minutes(m float64) Duration { return Duration(m * 60) }
