package main

import (
	"fmt"
	"math"

	"coldbatch/internal/calltable"
	"coldbatch/internal/fold"
	"coldbatch/internal/unit"
)

// foldCalls are the calls that compute what a folded and dyed piece looks like once it is unfolded.
var foldCalls = callTable{
	"fold.choices": calltable.JSON(func(struct{}) (fold.Choices, error) { return fold.NewChoices(), nil }),
	"fold.draw":    calltable.OnBytes(drawFold),
	"fold.report":  calltable.JSON(reportFold),
	"fold.effect":  calltable.JSON(effectOfResult),
	"fold.encode":  calltable.JSON(encodeDesign),
	"fold.decode":  calltable.JSON(decodeDesign),
	"fold.traced":  calltable.JSON(whiteOfTracing),
}

// foldQuery is a design to be worked out.
type foldQuery struct {
	Design  fold.Design           `json:"design"`
	Results []fold.ObservedResult `json:"results"`          // of pieces dyed before
	Size    int                   `json:"size"`             // pixels along a side of a picture
	Factor  float64               `json:"factor,omitempty"` // more or less dye than planned; 0 is 1
	Wet     bool                  `json:"wet,omitempty"`    // as it looks in the bag
}

// The last maps and cloths, since a thumb changes one thing at a time: the map depends on
// garment and fold, the cloth of a colour on its name alone. Answers do not depend on them.
var (
	mapCache    []*fold.Map
	colourCache = map[fold.DesignColour]fold.Colour{}
)

// pictureBuffer holds the pixels of the last picture: they are copied to the page before the next call.
var pictureBuffer []byte

const (
	mostMaps    = 3
	mostColours = 64
)

func mapOf(d fold.Design, size int) (*fold.Map, error) {
	for i, m := range mapCache {
		if m.Garment.Name == d.Garment && m.Fold == d.Fold && m.Size == size {
			copy(mapCache[1:i+1], mapCache[:i])
			mapCache[0] = m
			return m, nil
		}
	}
	g, err := fold.NewGarment(d.Garment)
	if err != nil {
		return nil, err
	}
	m, err := fold.NewMap(g, d.Fold, size)
	if err != nil {
		return nil, err
	}
	mapCache = append([]*fold.Map{m}, mapCache[:min(len(mapCache), mostMaps-1)]...)
	return m, nil
}

func clothOf(c fold.DesignColour) (fold.Colour, error) {
	if full, ok := colourCache[c]; ok {
		return full, nil
	}
	full, err := c.FullColour()
	if err == nil {
		if len(colourCache) >= mostColours {
			clear(colourCache)
		}
		colourCache[c] = full
	}
	return full, err
}

// layFold puts the design's dye on its bundle.
func layFold(q foldQuery) (*fold.DyedCloth, error) {
	if err := q.Design.Check(); err != nil {
		return nil, err
	}
	m, err := mapOf(q.Design, q.Size)
	if err != nil {
		return nil, err
	}
	var full []fold.Colour
	for _, c := range q.Design.Colours {
		x, err := clothOf(c)
		if err != nil {
			return nil, err
		}
		full = append(full, x)
	}
	factor := q.Factor
	if factor == 0 {
		factor = 1
	}
	effect, _ := fold.EffectFromResults(q.Design.Fold.Kind, q.Results)
	return m.ApplyDye(q.Design.DyeApplication(full, factor).Corrected(effect))
}

// foldPicture goes with the pixels: those of the front, then those of the back, RGBA.
type foldPicture struct {
	Size   int        `json:"size"` // pixels along each side
	Layers int        `json:"layers"`
	White  string     `json:"white"` // "about 3 %"
	Face   fold.Face  `json:"face"`
	Box    fold.Point `json:"box"` // the garment's width and height as shares of the picture
}

func drawFold(q foldQuery, _ []byte) (foldPicture, []byte, error) {
	c, err := layFold(q)
	if err != nil {
		return foldPicture{}, nil, err
	}
	face, err := q.Design.Face()
	if err != nil {
		return foldPicture{}, nil, err
	}
	pictureBuffer = c.Pictures(q.Wet, pictureBuffer)
	p := foldPicture{c.Map.Size, c.Map.Garment.Layers, fold.WhiteWords(c.WhiteShare()), face, c.Map.GarmentSize()}
	c.Release()
	return p, pictureBuffer, nil
}

// reportSize is the size of the map from which a report is worked out: more pixels change
// its figures by less than it shows.
const reportSize = 256

func reportFold(q struct {
	foldQuery
	Style   unit.Style `json:"style"`
	Squeeze float64    `json:"squeeze,omitempty"` // mL that one squeeze of the bottle gives; 0 is not known
}) (fold.View, error) {
	q.Size = reportSize
	c, err := layFold(q.foldQuery)
	if err != nil {
		return fold.View{}, err
	}
	r, err := c.Report()
	if err != nil {
		return fold.View{}, err
	}
	_, count := fold.EffectFromResults(q.Design.Fold.Kind, q.Results)
	return fold.NewView(q.Design, r, count, q.Squeeze, q.Style), nil
}

// effectSize is the size of the map from which a result is judged, many times over: an eye judges no finer.
const effectSize = 64

// foldEffect is what a result says about the model.
type foldEffect struct {
	Effect float64 `json:"effect"`
}

func effectOfResult(q struct {
	Design fold.Design `json:"design"`
	White  float64     `json:"white"` // share of the cloth, 0 to 1
}) (foldEffect, error) {
	c, err := layFold(foldQuery{Design: q.Design, Size: effectSize})
	if err != nil {
		return foldEffect{}, err
	}
	effect, err := c.Map.Effect(c.Dyeing, q.White)
	return foldEffect{effect}, err
}

// designCode is a design as a line of letters that an address may hold.
type designCode struct {
	Code string `json:"code"`
}

func encodeDesign(d fold.Design) (designCode, error) {
	if err := d.Check(); err != nil {
		return designCode{}, err
	}
	return designCode{d.Encode()}, nil
}

func decodeDesign(q designCode) (*fold.Design, error) { return fold.Decode(q.Code) }

// tracedWhite is the white that was traced on a photo, as a share of the cloth and in words.
type tracedWhite struct {
	Share float64 `json:"share"` // rounded to a hundredth: a thumb traces no finer
	Words string  `json:"words"` // "18 % of the cloth"
}

func whiteOfTracing(t fold.Tracing) (tracedWhite, error) {
	share, err := t.WhiteShare()
	if err != nil {
		return tracedWhite{}, err
	}
	share = math.Round(100*share) / 100
	return tracedWhite{share, fmt.Sprintf("%.0f %% of the cloth", 100*share)}, nil
}
