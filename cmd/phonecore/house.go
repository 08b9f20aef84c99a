package main

import (
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
)

// houseCalls list the phones and the calendars of the house.
var houseCalls = callTable{
	"house.listPhones": jsonCall(listPhones),
	"house.listCalendars": jsonCall(func(q factsArgs) ([]house.Calendar, error) {
		facts, _ := journal.OrderAheadFirst(q.Facts, q.Now)
		return house.ListCalendars(facts), nil
	}),
}

func listPhones(q factsArgs) ([]house.Phone, error) {
	facts, _ := journal.OrderAheadFirst(q.Facts, q.Now)
	return house.ListPhones(facts), nil
}
