package main

import (
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
)

// houseCalls say who is of the house.
var houseCalls = table{"house.fold": on(foldHouse)}

func foldHouse(q struct {
	Facts []journal.Fact `json:"facts"`
}) ([]house.Phone, error) {
	return house.ListPhones(q.Facts), nil
}
