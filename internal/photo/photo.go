// Package photo tells from the header of a picture what it is and how large it is, so that the hub and
// the phone refuse the same ones before anything unpacks them. Start with Check. It reads no
// pixels: package image is too large for the phone's core.
package photo

import (
	"bytes"
	"encoding/binary"
	"strings"

	"coldbatch/internal/fault"
)

// MaxPixels says how many pixels a photo may have (judgement: the app's own have 2.6 million at most). A
// picture of few bytes may have so many that a phone has no room for them. The limit in bytes is journal.MaxPhotoBytes.
const MaxPixels = 4_000_000

// maxScans says how many scans a JPEG may have (judgement: a camera writes 1, a progressive picture some 10).
// Each takes time to draw, and a file of few bytes may have a hundred thousand.
const maxScans = 100

// Header is what a picture says about itself; its size is in pixels.
type Header struct {
	Type          string // "image/jpeg", "image/png" or "image/webp"
	Width, Height int
}

// Check returns the header of a photo. It refuses (Input) what is no JPEG, PNG or WebP picture, one
// of too many pixels or passes, and a moving one.
func Check(b []byte) (Header, error) {
	h, ok := ReadHeader(b)
	switch {
	case !ok:
		return h, fault.New(fault.Input, "this is not a photo").WithHint("use a JPEG, PNG or WebP picture")
	case h.Width < 1 || h.Height < 1 || h.Width > MaxPixels/h.Height:
		return h, fault.New(fault.Input, "the photo of %d × %d pixels is too large", h.Width, h.Height).
			WithHint("at most %d million pixels; the app shrinks its own photos before sending them", MaxPixels/1_000_000)
	case h.Type == "image/jpeg" && bytes.Count(b, []byte("\xff\xda")) > maxScans:
		return h, fault.New(fault.Input, "the photo is stored in more than %d passes", maxScans).WithHint("no camera makes such a photo")
	case isMoving(h, b):
		return h, fault.New(fault.Input, "this is an animation").WithHint("use a still picture")
	}
	return h, nil
}

// isMoving says whether a PNG or a WebP picture has frames, each of which a browser would unpack.
func isMoving(h Header, b []byte) bool {
	switch h.Type {
	case "image/png":
		return bytes.Contains(b, []byte("acTL"))
	case "image/webp":
		return string(b[12:16]) == "VP8X" && b[20]&0x02 != 0
	}
	return false
}

// ReadHeader reads the header of a JPEG (ISO/IEC 10918-1, B.2), PNG (ISO/IEC 15948, 11.2.2) or WebP
// (RFC 9649, 2) picture, and returns false for anything else.
func ReadHeader(b []byte) (Header, bool) {
	s := string(b[:min(len(b), 32)])
	switch {
	case strings.HasPrefix(s, "\xff\xd8\xff"):
		w, h, ok := readJPEG(b)
		return Header{"image/jpeg", w, h}, ok
	case strings.HasPrefix(s, "\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR") && len(s) >= 24:
		w, h := binary.BigEndian.Uint32(b[16:]), binary.BigEndian.Uint32(b[20:])
		return Header{"image/png", int(w), int(h)}, w < 1<<31 && h < 1<<31
	case strings.HasPrefix(s, "RIFF") && len(s) >= 30 && s[8:12] == "WEBP":
		w, h, ok := readWebP(b)
		return Header{"image/webp", w, h}, ok
	}
	return Header{}, false
}

// readJPEG reads the size in the first frame header, past the segments before it.
func readJPEG(b []byte) (width, height int, ok bool) {
	for at := 2; at+9 <= len(b); {
		if b[at] != 0xff {
			return 0, 0, false
		}
		marker := b[at+1]
		if marker == 0xff { // filled up before a marker
			at++
			continue
		}
		length := int(binary.BigEndian.Uint16(b[at+2:]))
		isFrame := marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc
		switch {
		case isFrame && length >= 8:
			return int(binary.BigEndian.Uint16(b[at+7:])), int(binary.BigEndian.Uint16(b[at+5:])), true
		case isFrame || length < 2 || marker < 0xc0 || marker >= 0xd0 && marker <= 0xda:
			return 0, 0, false // no segment of a header, or the picture begins without a size
		}
		at += 2 + length
	}
	return 0, 0, false
}

// readWebP reads the size in the first chunk: of a lossy, a lossless or an extended picture.
func readWebP(b []byte) (width, height int, ok bool) {
	switch string(b[12:16]) {
	case "VP8 ":
		w, h := binary.LittleEndian.Uint16(b[26:]), binary.LittleEndian.Uint16(b[28:])
		return int(w & 0x3fff), int(h & 0x3fff), b[20]&1 == 0 && b[23] == 0x9d && b[24] == 0x01 && b[25] == 0x2a
	case "VP8L":
		bits := binary.LittleEndian.Uint32(b[21:])
		return int(bits&0x3fff) + 1, int(bits>>14&0x3fff) + 1, b[20] == 0x2f
	case "VP8X":
		three := func(at int) int { return int(b[at]) | int(b[at+1])<<8 | int(b[at+2])<<16 }
		return three(24) + 1, three(27) + 1, true
	}
	return 0, 0, false
}
