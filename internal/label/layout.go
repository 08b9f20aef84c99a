package label

import "coldbatch/internal/zone"

// A code is these fields, highest bit first, in base32.
//
//	 4  version: 1 or 2, the lower that holds it; 0 is no code
//	 1  blank
//	10  number
//	 5  letter: 0 none, else its place in Letters from 1
//	64  token
//	    a blank ends here, but for the 5 bits of version 2 that say what for: 1 a
//	    piece; other labels go on
//	25  closed: minutes since 2025-01-01T00:00Z; 0 not closed
//	 7  offset at closing: quarter hours from −12 h
//	15  ready: minutes after closed; 0 no time can be given
//
// The positions up to here are the same in every later version, so that an older program
// reads number, letter, token and ready time of any newer label. The
// rest is versions 1 and 2:
//
//	 6  early: 64ths of ready, before it; 63 none
//	 8  late: 64ths of ready, after it; 255 none
//	 8  assumed temperature: half degrees from −20 °C
//	 2  class
//	 4  piece
//	 5  fold
//	 4  colours, how many: 0–8
//	 1  the clocks change within the cure
//	 1  caps of two letters occur
//	 1  in version 2: the colours, two or more, have equal shares
//	19  if the clocks change: 7 the offset then, 12 when, in quarter hours
//	    from the one that closed lies in
//	21  for each colour: 5 cap letter, A 0, 12 red, green and blue, 4 sixteenths
//	    less one, not where shares are equal; 5 more where caps of two letters
//	    occur: 5 each, A 1, second 0 none
//	 n  in version 2, as far as there is room: the names of the colours, 5 a
//	    letter, a 1 to z 26, space 27, hyphen 28, apostrophe 29, each with a 0 at
//	    its end, which stands alone for a colour without; the last has a name
//
// Then zeros up to a multiple of five bits with the sum, and in every version
// as the last 16 bits the CRC of all bits before it. Half degrees, since they
// come back to the right whole degree Fahrenheit too.
const (
	newestVersion = 2 // the newest

	epochMinutes       = 28_928_160 // minutes from 1970 to 2025-01-01T00:00Z
	quarterHourSeconds = 900        // seconds, or 15 minutes
	minOffset          = -48        // quarter hours
	maxOffset          = 56
	minHalfDegrees     = -40 // half degrees
	noEarliestReady    = 63
	noLatestReady      = 255
	readyParts         = 64 // early and late are counted in these parts of ready
	minCodeChars       = 20 // characters: a blank
	maxCodeChars       = 160
	crcBits            = 16
	purposePiece       = 1
	maxClosed          = 1<<25 - 1
	maxReady           = 1<<15 - 1
	maxQuarters        = 1<<12 - 1
)

// minutesSince1970 returns the whole minutes since 1970 that a clock shows at i.
func minutesSince1970(i zone.Instant) int64 {
	m := int64(i) / int64(zone.Minute)
	if int64(i)%int64(zone.Minute) < 0 {
		m--
	}
	return m
}

func instantOfMinutes(minutes int64) zone.Instant { return zone.Instant(minutes * int64(zone.Minute)) }
