package fold

import "math"

// spot is a round part of a face that takes a squirt of dye, in cm; what lies between spots stays white.
type spot struct{ x, y, r float64 }

// Judgement: how much of the way to the next spot or the edge a spot fills, and how far out on a disc they lie.
const (
	spotFills  = 0.85
	spotsReach = 0.75
)

// fewSpots lie in a ring on a disc.
const fewSpots = 6

// spots returns n spots that share a face: on a disc in a ring, or many as the seeds of a sunflower lie (H. Vogel,
// Math. Biosci. 44 (1979) 179, from memory); on a rectangle in rows.
func (s bundleShape) spots(n int) []spot {
	n = max(n, 1)
	list := make([]spot, 0, n)
	if s.isDisc {
		const goldenAngle = 2.39996 // radians
		rx, ry := s.width/2, s.height/2
		for i := range n {
			share, angle := spotsReach*math.Sqrt((float64(i)+0.5)/float64(n)), goldenAngle*float64(i)
			switch {
			case n == 1:
				share = 0
			case n <= fewSpots:
				share, angle = 0.55, 2*math.Pi*float64(i)/float64(n)
			}
			sin, cos := math.Sincos(angle)
			list = append(list, spot{x: rx * (1 + share*cos), y: ry * (1 + share*sin)})
		}
		return s.sizeSpots(list)
	}
	columns := min(max(int(math.Round(math.Sqrt(float64(n)*s.width/s.height))), 1), n)
	rows := (n + columns - 1) / columns
	for i := range n {
		row := i / columns
		inRow := min(columns, n-row*columns) // the last row may have fewer
		wide, high := s.width/float64(inRow), s.height/float64(rows)
		list = append(list, spot{x: (float64(i%columns) + 0.5) * wide, y: (float64(row) + 0.5) * high})
	}
	return s.sizeSpots(list)
}

// sizeSpots makes the spots as large as they can be beside one another and within the face.
func (s bundleShape) sizeSpots(list []spot) []spot {
	room := math.Inf(1)
	for i, p := range list {
		room = min(room, p.x, p.y, s.width-p.x, s.height-p.y)
		for _, q := range list[:i] {
			room = min(room, math.Hypot(p.x-q.x, p.y-q.y)/2)
		}
	}
	for i := range list {
		list[i].r = spotFills * room
	}
	return list
}

// spotFace draws the spots of a face; a long one lies on its side.
func spotFace(n int, s bundleShape) Face {
	long := s.height > s.width
	if long {
		s.width, s.height = s.height, s.width
	}
	face := Face{Width: faceWidth, Height: faceWidth * max(s.height/s.width, 1/maxElongate)}
	if long {
		s.width, s.height = s.height, s.width
	}
	if face.Outline = polygon([]Point{{0, 0}, {face.Width, 0}, {face.Width, face.Height}, {0, face.Height}}); s.isDisc && s.width == s.height {
		face.Outline = sector(face.Width/2, face.Height/2, 0, face.Height/2, 0, 2*math.Pi)
	}
	for _, p := range s.spots(n) {
		x, y := p.x/s.width, p.y/s.height
		if long {
			x, y = y, x
		}
		r := p.r / max(s.width, s.height) * faceWidth
		face.Sections = append(face.Sections, FaceSection{sector(x*face.Width, y*face.Height, 0, r, 0, 2*math.Pi), x * face.Width, y * face.Height})
	}
	return face
}
