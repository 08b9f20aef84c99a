package main

import (
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
)

// houseCalls list the phones of the house.
var houseCalls = callTable{"house.listPhones": jsonCall(listPhones)}

func listPhones(q factsArgs) ([]house.Phone, error) {
	facts, _ := journal.OrderAheadFirst(q.Facts, q.Now)
	return house.ListPhones(facts), nil
}
