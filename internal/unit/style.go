package unit

// System is a system of units to print in.
type System string

// The systems.
const (
	Metric System = "metric"
	US     System = "us"
)

// Style is how a device prints; it belongs to the device, not to the record. The
// zero Style is metric, with a decimal point and a 24 h clock.
type Style struct {
	System  System `json:"system"`
	Comma   bool   `json:"comma"`   // decimal comma
	Clock12 bool   `json:"clock12"` // 4:05 pm; read by those who print clock times
}
