package unit

// System is a system of units to print in.
type System string

// The systems.
const (
	Metric System = "metric"
	US     System = "us"
)

// Style describes how a device prints quantities and times. It is a setting of the device and is
// not stored in facts. The zero Style is metric, with a decimal point and a 24 h clock.
type Style struct {
	System  System `json:"system"`
	Comma   bool   `json:"comma"`   // decimal comma
	Clock12 bool   `json:"clock12"` // 12-hour clock, such as 4:05 pm
}
