package labeldamage

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"

	"coldbatch/internal/sheet"
	"github.com/skip2/go-qrcode"
	"pgregory.net/rapid"
)

// A splash covers the share of the symbol that it is said to, counted here anew on a
// finer grid, and finders that are spared are clean to their last module.
func TestSplashIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kinds := DamageKinds[len(DamageKinds)-4:]
		k := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "kind")]
		side := 17 + 4*rapid.IntRange(4, 8).Draw(t, "version")
		b := placeBlob(side, k, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0)))
		const fine = 7
		in := 0
		for y := range side * fine {
			for x := range side * fine {
				u, v := (float64(x)+0.5)/fine, (float64(y)+0.5)/fine
				if b.depth(u, v) <= 0 {
					continue
				}
				in++
				low, far := 8.0, float64(side-8)
				if k.SparesFinders && (u < low && v < low || u > far && v < low || u < low && v > far) {
					t.Fatalf("a spared finder is splashed at %.2f, %.2f of %d", u, v, side)
				}
			}
		}
		if share := float64(in) / float64(side*side*fine*fine); share < k.SplashFrom-0.002 || share > k.SplashTo+0.002 {
			t.Fatalf("%s: a splash of %.4f", k.Name, share)
		}
	})
}

// What is spared is what the standard calls a finder and its separator: in a code as
// it is printed, rings of seven, five and three modules and a light line around them.
func TestFindersAreInTheCorners(t *testing.T) {
	m, err := sheet.QR(labelAddress(t, 3))
	if err != nil {
		t.Fatal(err)
	}
	for y := range 8 {
		for x := range 8 {
			ring := max(abs(x-3), abs(y-3))
			dark := byte('0')
			if ring == 3 || ring < 2 {
				dark = '1'
			}
			far := m.Size - 1
			if m.Rows[y][x] != dark || m.Rows[y][far-x] != dark || m.Rows[far-y][x] != dark {
				t.Fatalf("module %d, %d of a finder is not %c", x, y, dark)
			}
		}
	}
}

func abs(n int) int { return max(n, -n) }

// The same seed gives the same picture, and a different seed a different one.
func TestSameSeedSamePicture(t *testing.T) {
	m, _ := sheet.QR(labelAddress(t, 3))
	k := DamageKinds[len(DamageKinds)-2]
	one, again, other := k.Draw(m, 1), k.Draw(m, 1), k.Draw(m, 2)
	if !bytes.Equal(one.Pix, again.Pix) {
		t.Error("the same seed gives two pictures")
	}
	if bytes.Equal(one.Pix, other.Pix) {
		t.Error("two seeds give one picture")
	}
	var file bytes.Buffer
	if err := one.Write(&file); err != nil || !bytes.HasPrefix(file.Bytes(), []byte("P6\n")) || file.Len() < 3*one.W*one.H {
		t.Errorf("a file of %d bytes, %v", file.Len(), err)
	}
}

// A level is what was asked for, and what has no room in any version is refused.
func TestAt(t *testing.T) {
	m, err := EncodeAt(qrcode.Medium, labelAddress(t, 8))
	if err != nil || m.Level != "M" || m.Size != 17+4*m.Version {
		t.Errorf("level %s, version %d, %d modules, %v", m.Level, m.Version, m.Size, err)
	}
	if _, err := EncodeAt(qrcode.Medium, strings.Repeat("?", 3000)); err == nil {
		t.Error("3000 characters have a code at level M")
	}
}
