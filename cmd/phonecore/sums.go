package main

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/calc"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// sumCalls are the calculators, and the version of the core.
var sumCalls = callTable{
	"about":     jsonCall(func(struct{}) (coreInfo, error) { return coreInfo{batch.CacheVersion}, nil }),
	"calc.list": jsonCall(func(struct{}) ([]calc.Entry, error) { return calc.All(), nil }),
	"calc.run":  jsonCall(runSum),
}

// coreInfo is what a page must know of the core.
type coreInfo struct {
	CacheVersion int `json:"cacheVersion"` // a state cached under another version is built again
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
