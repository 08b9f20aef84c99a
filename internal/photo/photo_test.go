package photo

import (
	"bytes"
	"encoding/hex"
	"image"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"golang.org/x/image/webp"

	"coldbatch/internal/fault"
)

// encoded returns a grey picture as Go's own library writes it.
func encoded(t testing.TB, width, height int, asPNG bool) []byte {
	t.Helper()
	var out bytes.Buffer
	picture := image.NewGray(image.Rect(0, 0, width, height))
	var err error
	if asPNG {
		err = png.Encode(&out, picture)
	} else {
		err = jpeg.Encode(&out, picture, nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func fromHex(s string) []byte {
	b, err := hex.DecodeString(strings.ReplaceAll(s, " ", ""))
	if err != nil {
		panic(err)
	}
	return b
}

// The smallest pictures of each kind of WebP, by RFC 9649: 2.5 (lossy), 2.6 (lossless), 2.7 (extended).
var (
	lossy    = fromHex("52494646 16000000 57454250 56503820 0a000000 300100 9d012a 4001 f000 00")
	lossless = fromHex("52494646 12000000 57454250 5650384c 06000000 2f 3fc13b00 00 0000000000")
	extended = fromHex("52494646 16000000 57454250 56503858 0a000000 00000000 3f0100 ef0000")
)

func TestHeaders(t *testing.T) {
	exif := append(fromHex("ffd8 ffe1 0008 457869660000 ffff"), encoded(t, 30, 20, false)[2:]...) // a thumbnail's place, and a filled-up marker
	for _, c := range []struct {
		name string
		b    []byte
		want Header
	}{
		{"a JPEG", encoded(t, 1600, 1200, false), Header{"image/jpeg", 1600, 1200}},
		{"a JPEG with EXIF", exif, Header{"image/jpeg", 30, 20}},
		{"a PNG", encoded(t, 40, 3, true), Header{"image/png", 40, 3}},
		{"a lossy WebP", lossy, Header{"image/webp", 320, 240}},
		{"a lossless WebP", lossless, Header{"image/webp", 320, 240}},
		{"an extended WebP", extended, Header{"image/webp", 320, 240}},
	} {
		if got, err := Check(c.b); got != c.want || err != nil {
			t.Errorf("%s: %+v %v, want %+v", c.name, got, err, c.want)
		}
	}
	if c, err := webp.DecodeConfig(bytes.NewReader(lossy)); err != nil || c.Width != 320 || c.Height != 240 {
		t.Errorf("golang.org/x/image reads the lossy one as %+v, %v", c, err)
	}
}

// Few bytes that would fill a phone's memory, what cannot be shown, and what is no photo.
func TestRefused(t *testing.T) {
	for name, b := range map[string][]byte{
		"a PNG of 20000 × 20000":                    encoded(t, 20000, 20000, true),
		"a JPEG of 65500 × 65500":                   fromHex("ffd8 ffc0 000b 08 ffdc ffdc 01 011100"),
		"a progressive one after comments":          fromHex("ffd8 fffe 0004 6869 ffc2 000b 08 ffdc ffdc 01 011100"),
		"an extended WebP of 16 million × 1":        fromHex("52494646 16000000 57454250 56503858 0a000000 00000000 ffffff 000000"),
		"one without a height":                      fromHex("ffd8 ffc0 000b 08 0000 0010 01 011100"),
		"only the first bytes of a JPEG":            fromHex("ffd8ff"),
		"the first bytes and rubbish":               append(fromHex("ffd8ffe0"), bytes.Repeat([]byte{7}, 500)...),
		"a scan without a frame":                    fromHex("ffd8 ffda 0008 010100003f00 000000000000"),
		"a marker that a reader skips, as it likes": fromHex("ffd8 ff01 ffc0 000b 08 0010 0010 01 011100 000000"),
		"a PNG that begins with another chunk":      fromHex("89504e470d0a1a0a 0000000d 74455874 00000010 00000010 0802000000"),
		"a PNG cut short":                           fromHex("89504e470d0a1a0a 0000000d 49484452 0000"),
		"a PNG sent as text":                        fromHex("89504e470a1a0a 0000000d 49484452 00000010 00000010"),
		"a WebP cut short":                          lossy[:20],
		"a sound":                                   []byte("RIFF\x24\x00\x00\x00WAVEfmt and so on for some while"),
		"a drawing, which may hold a script":        []byte(`<svg xmlns="http://www.w3.org/2000/svg">`),
		"a GIF":                                     []byte("GIF89a"),
		"nothing":                                   nil,
	} {
		if h, err := Check(b); !fault.Is(err, fault.Input) {
			t.Errorf("%s is taken as %+v (%v)", name, h, err)
		}
	}
}

// Whatever Go's own library reads as a picture has the size that ReadHeader says, or is refused.
func FuzzRead(f *testing.F) {
	for _, b := range [][]byte{encoded(f, 16, 9, false), encoded(f, 16, 9, true), lossy, lossless, extended} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		h, ok := ReadHeader(b)
		if !ok {
			return
		}
		var c image.Config
		var err error
		switch h.Type {
		case "image/jpeg":
			c, err = jpeg.DecodeConfig(bytes.NewReader(b))
		case "image/png":
			c, err = png.DecodeConfig(bytes.NewReader(b))
		case "image/webp":
			c, err = webp.DecodeConfig(bytes.NewReader(b))
		}
		if err == nil && (c.Width != h.Width || c.Height != h.Height) {
			t.Errorf("%d × %d is read as %d × %d", c.Width, c.Height, h.Width, h.Height)
		}
	})
}

// A picture of few bytes that keeps a browser busy for minutes is refused: a hundred thousand empty scans
// (ISO/IEC 10918-1, B.2.3), or frames of an animation (PNG third edition, 11.3.6.1; RFC 9649, 2.7.1.1).
func TestSlowPictures(t *testing.T) {
	scan := fromHex("ffda 0008 01 01 00 01 3f 00")
	plain := encoded(t, 30, 20, false)
	progressive := append(bytes.Clone(plain[:len(plain)-2]), bytes.Repeat(scan, 12)...)
	if _, err := Check(append(progressive, 0xff, 0xd9)); err != nil {
		t.Errorf("a progressive one: %v", err)
	}
	moving := bytes.Clone(extended)
	moving[20] |= 0x02
	png := encoded(t, 40, 3, true)
	for name, b := range map[string][]byte{
		"many scans":    append(bytes.Clone(plain[:len(plain)-2]), bytes.Repeat(scan, 100_000)...),
		"a moving WebP": moving,
		"a moving PNG":  append(append(bytes.Clone(png[:33]), fromHex("00000008 6163544c 00000064 00000000 00000000")...), png[33:]...),
	} {
		if _, err := Check(b); !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
