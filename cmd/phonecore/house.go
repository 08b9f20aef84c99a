package main

import (
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
)

// houseCalls say who is of the house.
var houseCalls = table{"house.fold": on(foldHouse)}

func foldHouse(q factsArgs) ([]house.Phone, error) {
	facts, _ := journal.DemoteAhead(q.Facts, q.Now)
	return house.ListPhones(facts), nil
}
