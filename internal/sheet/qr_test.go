package sheet

import (
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"pgregory.net/rapid"
)

// sampleBagLabel returns an invented bag with n colours.
func sampleBagLabel(n int) label.Label {
	closed := zone.Instant(1_778_192_700_000)
	l := label.Label{
		Number: 12, Token: label.MakeToken([]byte("invented"), []byte("bag")), ClosedAt: closed, OffsetSeconds: 7200,
		ReadyAt: closed.Add(24 * zone.Hour), EarliestReady: closed.Add(20 * zone.Hour), LatestReady: closed.Add(29 * zone.Hour),
		Celsius: 21, ClassCode: label.ClassDichlorotriazine, PieceCode: 3, FoldCode: 7,
	}
	for i := range n {
		l.Colours = append(l.Colours, label.Colour{CapLetters: string(rune('A' + i)), RGB: [3]uint8{uint8(17 * i), 119, 34}, ShareSixteenths: 1 + i})
	}
	return l
}

func labelAddress(t *testing.T, l label.Label) string {
	t.Helper()
	code, err := label.Encode(l)
	if err != nil {
		t.Fatal(err)
	}
	return label.Address("coldbatch.local:8443", code)
}

// The budget of a label: eight colours on version 6 at level Q, 41 modules, and
// still there in the weeks when the clocks change.
func TestLabelsFitTheirVersion(t *testing.T) {
	blank := label.Label{Number: 40, IsBlank: true, Token: sampleBagLabel(0).Token}
	changing := sampleBagLabel(8)
	changing.NextOffsetSeconds, changing.NextOffsetFrom = 3600, changing.ClosedAt/900_000*900_000+36_000_000
	for _, row := range []struct {
		why            string
		l              label.Label
		chars, version int
	}{
		{"a numbered blank", blank, 51, 4},
		{"three colours, the usual bag", sampleBagLabel(3), 81, 5},
		{"four colours, the last on version 5", sampleBagLabel(4), 85, 5},
		{"eight colours", sampleBagLabel(8), 102, 6},
		{"eight colours and a change of clocks", changing, 106, 6},
	} {
		text := labelAddress(t, row.l)
		m, err := QR(text)
		if err != nil || len(text) != row.chars || m.Version != row.version || m.Level != "Q" || m.Size != 17+4*row.version {
			t.Errorf("%s: %d characters, version %d, level %s, %d modules, %v; want %d characters, version %d at Q",
				row.why, len(text), m.Version, m.Level, m.Size, err, row.chars, row.version)
		}
		if got := readCode(t, m); got != text {
			t.Errorf("%s: reads back as %q, want %q", row.why, got, text)
		}
	}
}

// Characters in alphanumeric mode at levels Q and H by version (ISO/IEC 18004,
// table of capacities, from memory): one more needs the next version or level.
func TestCapacities(t *testing.T) {
	for _, row := range []struct {
		why     string
		chars   int
		version int
		level   string
	}{
		{"version 1 filled at H", 10, 1, "H"},
		{"one more falls to Q", 11, 1, "Q"},
		{"version 1 filled at Q", 16, 1, "Q"},
		{"one more is version 2, at H again", 17, 2, "H"},
		{"version 2 filled at H", 20, 2, "H"},
		{"version 2 filled at Q", 29, 2, "Q"},
		{"version 3 filled at H", 35, 3, "H"},
		{"version 3 filled at Q", 47, 3, "Q"},
		{"version 4 filled at H", 50, 4, "H"},
		{"version 4 filled at Q", 67, 4, "Q"},
		{"version 5 filled at Q", 87, 5, "Q"},
		{"version 6 filled at Q", 108, 6, "Q"},
		{"version 40 filled at Q", 2420, 40, "Q"},
		{"version 40 filled at M, which is too long for Q", 3391, 40, "M"},
		{"too long for M falls to L", 3392, 36, "L"},
		{"version 40 filled at L", 4296, 40, "L"},
	} {
		m, err := QR(strings.Repeat("A", row.chars))
		if err != nil || m.Version != row.version || m.Level != row.level {
			t.Errorf("%s: %d characters are version %d at %s, %v; want %d at %s", row.why, row.chars, m.Version, m.Level, err, row.version, row.level)
		}
	}
}

func TestQRRefuses(t *testing.T) {
	for _, row := range []struct{ why, text string }{
		{"nothing", ""},
		{"one character more than version 40 takes", strings.Repeat("A", 4297)},
		{"one byte more than version 40 takes", strings.Repeat("a", 2954)},
	} {
		if m, err := QR(row.text); !fault.Is(err, fault.Input) || m.Size != 0 {
			t.Errorf("%s: %d modules, %v", row.why, m.Size, err)
		}
	}
}

// What is drawn is read back by a reader that is not ours.
func TestQRReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[0-9A-Z $%*+./:-]{1,200}`).Draw(t, "text")
		m, err := QR(text)
		if err != nil {
			t.Fatal(err)
		}
		if m.Size != 17+4*m.Version || len(m.Rows) != m.Size {
			t.Fatalf("version %d with %d modules and %d rows", m.Version, m.Size, len(m.Rows))
		}
		if m.Level != "Q" && m.Level != "H" {
			t.Fatalf("level %s", m.Level)
		}
		if got := readCode(t, m); got != text {
			t.Fatalf("%q reads back as %q", text, got)
		}
	})
}

type fatalReporter interface {
	Helper()
	Fatalf(string, ...any)
}

// readCode paints the SVG of m, quiet zone and all, at three pixels a module, and
// reads it.
func readCode(t fatalReporter, m Matrix) string {
	t.Helper()
	picture, err := gozxing.NewBinaryBitmapFromImage(rasterize(t, m.SVG(), 3))
	if err != nil {
		t.Fatalf("%v", err)
	}
	// A clean picture: the reader's search for a code in a photo fails on some
	// of the smallest, whoever made them.
	clean := map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_PURE_BARCODE: true}
	got, err := qrcode.NewQRCodeReader().Decode(picture, clean)
	if err != nil {
		t.Fatalf("version %d at %s: %v", m.Version, m.Level, err)
	}
	return got.GetText()
}

var drawnRun = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// rasterize draws the dark runs of an SVG, having checked that it is well formed.
func rasterize(t fatalReporter, svg string, scale int) image.Image {
	t.Helper()
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
	}
	var side int
	if _, err := fmt.Sscanf(svg[strings.Index(svg, "viewBox"):], `viewBox="0 0 %d`, &side); err != nil {
		t.Fatalf("no viewBox: %v", err)
	}
	img := image.NewGray(image.Rect(0, 0, side*scale, side*scale))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, r := range drawnRun.FindAllStringSubmatch(svg, -1) {
		x, _ := strconv.Atoi(r[1])
		y, _ := strconv.Atoi(r[2])
		w, _ := strconv.Atoi(r[3])
		for py := y * scale; py < (y+1)*scale; py++ {
			for px := x * scale; px < (x+w)*scale; px++ {
				img.SetGray(px, py, color.Gray{})
			}
		}
	}
	return img
}

// The drawing has the modules that the matrix has, keeps the quiet zone clear,
// and says nothing that a strict policy forbids.
func TestSVG(t *testing.T) {
	m, err := QR(labelAddress(t, sampleBagLabel(3)))
	if err != nil {
		t.Fatal(err)
	}
	svg := m.SVG()
	for _, bad := range []string{"style", "script", "href", "<image"} {
		if strings.Contains(svg, bad) {
			t.Errorf("the drawing has %s", bad)
		}
	}
	if !strings.Contains(svg, `shape-rendering="crispEdges"`) {
		t.Error("edges are not kept crisp")
	}
	img := rasterize(t, svg, 1)
	if side := img.Bounds().Dx(); side != m.Size+8 {
		t.Fatalf("%d units wide, want %d modules and four on each side", side, m.Size)
	}
	for y := range m.Size + 8 {
		for x := range m.Size + 8 {
			want := x >= 4 && y >= 4 && x < m.Size+4 && y < m.Size+4 && m.Rows[y-4][x-4] == '1'
			grey, _, _, _ := img.At(x, y).RGBA()
			if (grey == 0) != want {
				t.Fatalf("module %d, %d is drawn wrong", x-4, y-4)
			}
		}
	}
	if (Matrix{}).SVG() == "" {
		t.Error("an empty matrix gives no drawing")
	}
}
