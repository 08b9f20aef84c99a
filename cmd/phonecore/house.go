package main

import (
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
)

// houseCalls list the phones of the house.
var houseCalls = table{"house.listPhones": jsonCall(listPhones)}

func listPhones(q factsArgs) ([]house.Phone, error) {
	facts, _ := journal.DemoteAhead(q.Facts, q.Now)
	return house.ListPhones(facts), nil
}
