package main

import (
	"coldbatch/internal/calc"
	"coldbatch/internal/calltable"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// sumCalls are the calculators.
var sumCalls = callTable{
	"calc.list": calltable.JSON(func(struct{}) ([]calc.Entry, error) { return calc.All(), nil }),
	"calc.run":  calltable.JSON(runSum),
}

func runSum(q struct {
	Name   string            `json:"name"`
	Inputs map[string]string `json:"inputs"`
	Env    struct {
		Now   zone.Instant `json:"now"`
		Zone  zone.Table   `json:"zone"`
		Style unit.Style   `json:"style"`
	} `json:"env"`
}) (*calc.Result, error) {
	if err := q.Env.Zone.Validate(); err != nil {
		return nil, err
	}
	return calc.Run(q.Name, q.Inputs, calc.Env{Now: q.Env.Now, Zone: q.Env.Zone, Style: q.Env.Style})
}
