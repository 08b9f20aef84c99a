package price

import (
	"slices"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
)

// Currency is a code of three letters, such as EUR, or empty where none was given.
type Currency string

// ISO4217Source is the source of the decimals of currencies.
var ISO4217Source = provenance.Source{Reliability: provenance.Memory, Text: "ISO 4217: codes of currencies and their minor units"}

// The currencies that are not written with two decimals.
var (
	noDecimals    = []Currency{"BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF", "XPF"}
	threeDecimals = []Currency{"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"}
)

// ParseCurrency reads a code of three letters in any case.
func ParseCurrency(typed string) (Currency, error) {
	code := strings.ToUpper(strings.TrimSpace(typed))
	if len(code) != 3 || strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
		return "", fault.New(fault.Input, "%q is not the code of a currency", typed).At("", typed).WithHint("three letters, such as EUR, JPY or KWD")
	}
	return Currency(code), nil
}

// Decimals returns the number of decimals of the currency: none for yen, three for most
// dinars, otherwise two.
func (c Currency) Decimals() int {
	switch {
	case slices.Contains(noDecimals, c):
		return 0
	case slices.Contains(threeDecimals, c):
		return 3
	}
	return 2
}
