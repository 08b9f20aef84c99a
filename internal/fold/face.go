package fold

import (
	"fmt"
	"math"
	"strings"
)

// Face is a bundle's face as a screen draws it: not to scale, faceWidth wide at most,
// the sections as SVG paths.
type Face struct {
	Width    float64       `json:"width"`
	Height   float64       `json:"height"`
	Sections []FaceSection `json:"sections"`
	Outline  string        `json:"outline,omitempty"` // of a face that the sections do not cover, as an SVG path
	Rope     bool          `json:"rope"`              // dyed from all round: it has no side B
}

// FaceSection is a section of the face: its outline, and where its number stands.
type FaceSection struct {
	Path string  `json:"path"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
}

// The size of a face in units of its drawing, and how long one is drawn at most: a thumb
// must hit its sections.
const (
	faceWidth   = 200
	maxElongate = 2.4
)

// Face returns the face of the design's bundle. The design must pass Check.
func (d *Design) Face() (Face, error) {
	g, err := NewGarment(d.Garment)
	if err != nil {
		return Face{}, err
	}
	s, _ := d.Fold.fold(g)
	n := len(d.A)
	var face Face
	switch shape := d.SectionShape(); {
	case d.Fold.Kind == Rings:
		face = bars(n, faceWidth, faceWidth/maxElongate, true)
		face.Rope = true
	case d.Fold.Kind == RadialPleats:
		face = fan(n)
	case shape == "frame":
		face = frames(n, d.Fold.Kind == FoldedCorners)
	case shape == "patch":
		face = patches(n)
	case shape == "spot":
		face = spotFace(n, s)
	case d.Fold.Kind == FoldedCorners:
		face = cornerBars(n, shape == "stripe")
	case shape == "wedge" || shape == "ring":
		face = disc(n, shape, d.Fold.Kind == DoubleSpiral)
	default:
		ratio := min(max(s.height/s.width, 1/maxElongate), maxElongate)
		width, height, sideBySide := float64(faceWidth), faceWidth*ratio, shape == "stripe"
		if ratio > 1 { // it lies on its side
			height, sideBySide = faceWidth/ratio, !sideBySide
		}
		face = bars(n, width, height, sideBySide)
	}
	return face, nil
}

// bars are n bars beside one another, or one above another.
func bars(n int, width, height float64, beside bool) Face {
	face := Face{Width: width, Height: height}
	for i := range n {
		a, b := float64(i)/float64(n), float64(i+1)/float64(n)
		x, y, w, h := 0., a*height, width, (b-a)*height
		if beside {
			x, y, w, h = a*width, 0, (b-a)*width, height
		}
		face.Sections = append(face.Sections, FaceSection{fmt.Sprintf("M%.1f %.1fh%.1fv%.1fh%.1fz", x, y, w, h, -w), x + w/2, y + h/2})
	}
	return face
}

// cornerBars are the bars of a triangle with its right angle at the top left.
func cornerBars(n int, beside bool) Face {
	face := Face{Width: faceWidth, Height: faceWidth}
	for i := range n {
		a, b := faceWidth*float64(i)/float64(n), faceWidth*float64(i+1)/float64(n)
		points := []Point{{a, 0}, {b, 0}, {b, faceWidth - b}, {a, faceWidth - a}}
		x, y := (a+b)/2, (faceWidth-(a+b)/2)*0.45
		if !beside {
			x, y = y, x
			for k, p := range points {
				points[k] = Point{p.Y, p.X}
			}
		}
		face.Sections = append(face.Sections, FaceSection{polygon(points), x, y})
	}
	return face
}

func polygon(points []Point) string {
	var b strings.Builder
	for i, p := range points {
		fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(i, 1)], p.X, p.Y)
	}
	return b.String() + "z"
}

// frames are n frames of a square or a triangle, one within the other, the outermost first.
func frames(n int, triangle bool) Face {
	face := Face{Width: faceWidth, Height: faceWidth}
	outline := func(share float64) []Point {
		in := share * faceWidth / 2
		if !triangle {
			return []Point{{in, in}, {faceWidth - in, in}, {faceWidth - in, faceWidth - in}, {in, faceWidth - in}}
		}
		in = share * faceWidth * (1 - math.Sqrt2/2)
		far := faceWidth - in*(1+math.Sqrt2)
		return []Point{{in, in}, {far, in}, {in, far}}
	}
	for i := range n {
		a, b := float64(i)/float64(n), float64(i+1)/float64(n)
		outer, inner := outline(a), outline(b)
		path := polygon(outer)
		if i < n-1 {
			for k := len(inner) - 1; k >= 0; k-- { // the other way round, so that it is a hole
				path += fmt.Sprintf("%c%.1f %.1f", "ML"[min(len(inner)-1-k, 1)], inner[k].X, inner[k].Y)
			}
			path += "z"
		}
		mid := (outer[0].X + inner[0].X) / 2
		face.Sections = append(face.Sections, FaceSection{path, (outer[0].X + outer[1].X) / 2, mid})
	}
	return face
}

// patches are the patches of a heap, dealt to n sections.
func patches(n int) Face {
	const side = faceWidth / float64(patchesAcross)
	face := Face{Width: faceWidth, Height: faceWidth, Sections: make([]FaceSection, n)}
	for j := range patchesAcross {
		for i := range patchesAcross {
			if math.Hypot(float64(i)-2.5, float64(j)-2.5) > 3.2 {
				continue // the heap is round
			}
			s := &face.Sections[min(int(patchDeal(float64(i), float64(j))*float64(n)), n-1)]
			x, y := float64(i)*side, float64(j)*side
			if s.Path == "" {
				s.X, s.Y = x+side/2, y+side/2
			}
			s.Path += fmt.Sprintf("M%.1f %.1fh%.1fv%.1fh%.1fz", x, y, side, side, -side)
		}
	}
	return face
}

// disc is a disc in wedges or rings; double are two discs, dyed alike.
func disc(n int, shape string, double bool) Face {
	centers, r := []float64{faceWidth / 2}, faceWidth/2.
	if double {
		centers, r = []float64{faceWidth / 4, faceWidth * 3 / 4}, faceWidth/4.
	}
	face := Face{Width: faceWidth, Height: 2 * r}
	for i := range n {
		a, b := float64(i)/float64(n), float64(i+1)/float64(n)
		var part FaceSection
		for k, c := range centers {
			if shape == "wedge" {
				mid := math.Pi * (a + b)
				part.Path += sector(c, r, 0, r, 2*math.Pi*a, 2*math.Pi*b)
				if k == 0 {
					part.X, part.Y = c+0.62*r*math.Cos(mid), r+0.62*r*math.Sin(mid)
				}
			} else {
				part.Path += sector(c, r, a*r, b*r, 0, 2*math.Pi)
				if k == 0 {
					part.X, part.Y = c, r+(a+b)/2*r
				}
			}
		}
		face.Sections = append(face.Sections, part)
	}
	if shape == "wedge" && n == 1 {
		face.Sections[0].X, face.Sections[0].Y = centers[0], r
	}
	return face
}

// fan is the wedge of radial pleats, its tip at the left, in rings about the tip.
func fan(n int) Face {
	const half = 0.42 // radians of half the fan as drawn
	height := 2 * faceWidth * math.Sin(half)
	face := Face{Width: faceWidth, Height: height}
	for i := range n {
		a, b := faceWidth*float64(i)/float64(n), faceWidth*float64(i+1)/float64(n)
		face.Sections = append(face.Sections, FaceSection{sector(0, height/2, a, b, -half, half), (a + 1.6*b) / 2.6, height / 2})
	}
	return face
}

// sector is the part of a ring about (x, y) between two radii and two angles.
func sector(x, y, inner, outer, from, to float64) string {
	const step = 0.12 // radians
	steps := max(int(math.Ceil((to-from)/step)), 1)
	var points []Point
	at := func(r float64, i int) Point {
		angle := from + (to-from)*float64(i)/float64(steps)
		return Point{x + r*math.Cos(angle), y + r*math.Sin(angle)}
	}
	for i := range steps + 1 {
		points = append(points, at(outer, i))
	}
	if inner == 0 {
		if to-from < 2*math.Pi-1e-9 {
			points = append(points, Point{x, y})
		}
		return polygon(points)
	}
	for i := steps; i >= 0; i-- {
		points = append(points, at(inner, i))
	}
	return polygon(points)
}
