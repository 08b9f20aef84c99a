package main

import (
	"fmt"
	"math"

	"coldbatch/internal/calltable"
	"coldbatch/internal/colour"
)

// photoCalls read colours from photos, and say how they look with more or less dye.
var photoCalls = callTable{
	"colour.scale":     calltable.JSON(scaleColour),
	"photo.readColour": calltable.OnBytes(readColour),
}

// colourArgs are the size of a picture, whose pixels are passed as bytes, and the spots of a
// white card and of the cloth in it.
type colourArgs struct {
	Width  int         `json:"width"`
	Height int         `json:"height"`
	Card   colour.Spot `json:"card"`
	Cloth  colour.Spot `json:"cloth"`
}

// colourRead is a colour read from a photo; Error is its ± by CIEDE2000.
type colourRead struct {
	Lab   [3]float64 `json:"lab"`
	RGB   string     `json:"rgb"`
	Word  string     `json:"word"`
	Error float64    `json:"error"`
	Notes []string   `json:"notes"`
}

func readColour(q colourArgs, pixels []byte) (colourRead, []byte, error) {
	c, err := colour.ReadPhoto(colour.Picture{Pixels: pixels, Width: q.Width, Height: q.Height}, q.Card, q.Cloth)
	if err != nil {
		return colourRead{}, nil, err
	}
	tenth := func(v float64) float64 { return math.Round(v*10) / 10 }
	return colourRead{[3]float64{tenth(c.Lab.L), tenth(c.Lab.A), tenth(c.Lab.B)}, fmt.Sprintf("#%02x%02x%02x", c.RGB[0], c.RGB[1], c.RGB[2]),
		colour.PlainWord(c.RGB[0], c.RGB[1], c.RGB[2]), c.Error, c.Notes}, nil, nil
}

// scaleColour returns how a colour looks with times as much dye. A colour that no dye on white
// cotton gives stays as it is.
func scaleColour(q struct {
	RGB   string  `json:"rgb"` // #rrggbb
	Times float64 `json:"times"`
}) (string, error) {
	lab, _, err := colour.Parse(q.RGB)
	if err != nil {
		return "", err
	}
	scaled, err := colour.ScaleSwatch(lab, q.Times)
	if err != nil {
		return q.RGB, nil
	}
	return fmt.Sprintf("#%02x%02x%02x", scaled.RGB[0], scaled.RGB[1], scaled.RGB[2]), nil
}
