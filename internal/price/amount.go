package price

import (
	"math/bits"
	"strconv"
	"strings"
)

// Amount is a sum of money or another number that is not negative, as an exact fraction:
// 67.50 / 12 stays 5.625 until Round. The zero Amount is 0. A sum that does not fit into a
// fraction of 64 bits is rounded to a billionth, or as finely as fits; where even that
// does not fit, methods return false.
type Amount struct {
	num, den uint64 // den 0 counts as 1
}

// maxNumerator is the limit of numerator and denominator.
const maxNumerator = 1 << 63

// NewAmount returns num/den; 0 where den is 0.
func NewAmount(num, den uint64) Amount {
	if num == 0 || den == 0 {
		return Amount{}
	}
	g := gcd(num, den)
	return Amount{num / g, den / g}
}

// AmountOf converts a number as it is written with 15 digits, so that 14.4 becomes
// 144/10. It returns false for a negative number and for one that does not fit.
func AmountOf(v float64) (Amount, bool) {
	digits, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', 14, 64), "e")
	e, err := strconv.Atoi(exponent)
	whole, rest, _ := strings.Cut(digits, ".")
	rest = strings.TrimRight(rest, "0")
	n, bad := strconv.ParseUint(whole+rest, 10, 63)
	if err != nil || bad != nil {
		return Amount{}, false
	}
	if e -= len(rest); e < -18 { // too little to matter
		return Amount{}, true
	}
	a := Amount{n, 1}
	power, ok := Amount{1, 1}, true
	for range max(e, -e) {
		if power, ok = power.Mul(Amount{10, 1}); !ok {
			return Amount{}, false
		}
	}
	if e < 0 {
		return a.Div(power)
	}
	return a.Mul(power)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (a Amount) denominator() uint64 { return max(a.den, 1) }

// roundFinely returns a to a billionth, or as finely as fits.
func (a Amount) roundFinely() (Amount, bool) { return addRounded(a, Amount{}) }

// IsZero reports whether a is 0.
func (a Amount) IsZero() bool { return a.num == 0 }

// multiplyChecked returns x × y, and false where that is too large.
func multiplyChecked(x, y uint64) (uint64, bool) {
	high, low := bits.Mul64(x, y)
	return low, high == 0 && low < maxNumerator
}

// Mul returns a × b.
func (a Amount) Mul(b Amount) (Amount, bool) {
	if a.num == 0 || b.num == 0 {
		return Amount{}, true
	}
	a.den, b.den = a.denominator(), b.denominator()
	g, h := gcd(a.num, b.den), gcd(b.num, a.den)
	num, ok := multiplyChecked(a.num/g, b.num/h)
	den, fits := multiplyChecked(a.den/h, b.den/g)
	return Amount{num, den}, ok && fits
}

// Div returns a / b; b is not 0.
func (a Amount) Div(b Amount) (Amount, bool) {
	return a.Mul(Amount{b.denominator(), b.num})
}

// Add returns a + b.
func (a Amount) Add(b Amount) (Amount, bool) {
	a.den, b.den = a.denominator(), b.denominator()
	g := gcd(a.den, b.den)
	x, one := multiplyChecked(a.num, b.den/g)
	y, two := multiplyChecked(b.num, a.den/g)
	den, three := multiplyChecked(a.den/g, b.den)
	if one && two && three && x+y < maxNumerator {
		return NewAmount(x+y, den), true
	}
	return addRounded(a, b)
}

// addRounded adds a and b rounded to a billionth, or as finely as fits.
func addRounded(a, b Amount) (Amount, bool) {
	for decimals, power := 9, uint64(1e9); decimals > 3; decimals, power = decimals-1, power/10 {
		x, one := a.round(power)
		y, two := b.round(power)
		if one && two && x+y < maxNumerator {
			return NewAmount(x+y, power), true
		}
	}
	return Amount{}, false
}

// round returns a in units of 1/power, with halves rounded up.
func (a Amount) round(power uint64) (uint64, bool) {
	den := a.denominator()
	high, low := bits.Mul64(a.num, power)
	if high >= den {
		return 0, false
	}
	n, rest := bits.Div64(high, low, den)
	if rest >= den-rest {
		n++
	}
	return n, n < maxNumerator
}

// Less reports whether a is less than b.
func (a Amount) Less(b Amount) bool {
	ah, al := bits.Mul64(a.num, b.denominator())
	bh, bl := bits.Mul64(b.num, a.denominator())
	return ah < bh || ah == bh && al < bl
}

// Round prints a with that many decimals, halves rounded up: "5.63". It returns false
// where that has too many digits.
func (a Amount) Round(decimals int) (string, bool) {
	power := uint64(1)
	for range decimals {
		power *= 10
	}
	n, ok := a.round(power)
	if !ok {
		return "", false
	}
	s := strconv.FormatUint(n, 10)
	if decimals == 0 {
		return s, true
	}
	if missing := decimals + 1 - len(s); missing > 0 {
		s = strings.Repeat("0", missing) + s
	}
	return s[:len(s)-decimals] + "." + s[len(s)-decimals:], true
}
