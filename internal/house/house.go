// Package house works out from the facts of the house's scope which phones belong to it
// and which calendars it opened. Call ListPhones and ListCalendars. It knows no tokens and admits no one: the hub does
// that, and asks this package who may come in.
package house

import (
	"cmp"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Phone is a phone that joined the house or, as a helper's, one of its batches.
type Phone struct {
	Device  journal.ID   `json:"device"`
	Name    string       `json:"name"`
	Letter  string       `json:"letter,omitempty"` // behind numbers that it gives without a lease
	Joined  zone.Instant `json:"joined,omitempty"` // ms
	Revoked []journal.ID `json:"revoked"`          // facts that revoke the phone; it regains access when all are withdrawn
}

// ListPhones returns the phones in the order in which they joined. It ignores facts of other
// scopes. Everyone who writes in the house may withdraw what another wrote there, except that
// a phone joined: a phone with access must not be hidden, and its letter is printed on labels.
// A phone is listed even if the fact that it joined arrives after the facts that name or remove it.
func ListPhones(facts []journal.Fact) []Phone {
	list := []Phone{}
	at := map[journal.ID]int{}
	of := func(device journal.ID) *Phone {
		i, had := at[device]
		if !had {
			i, at[device] = len(list), len(list)
			list = append(list, Phone{Device: device, Revoked: []journal.ID{}})
		}
		return &list[i]
	}
	holds := map[journal.ID]bool{}
	for _, f := range journal.Effective(facts, nil) {
		holds[f.ID] = true
	}
	for _, f := range journal.SortedByStamp(facts) {
		if f.Scope != journal.HouseScope || f.Kind != journal.KindDeviceJoined && !holds[f.ID] {
			continue
		}
		switch f.Kind {
		case journal.KindDeviceJoined:
			if b, ok := journal.DecodeBody[journal.DeviceJoined](f); ok {
				p := of(f.Subject)
				p.Letter = cmp.Or(b.Letter, p.Letter)
				if p.Name == "" {
					p.Name = b.Name
				}
				if p.Joined == 0 {
					p.Joined = f.At
				}
			}
		case journal.KindDeviceNamed:
			if b, ok := journal.DecodeBody[journal.DeviceNamed](f); ok {
				of(f.Subject).Name = b.Name
			}
		case journal.KindDeviceRevoked:
			p := of(f.Subject)
			p.Revoked = append(p.Revoked, f.ID)
		}
	}
	return list
}

// Calendar is a calendar to which a program at home may subscribe. Withdrawing the fact FactID
// closes it.
type Calendar struct {
	Name   string     `json:"name"`
	Hash   string     `json:"hash"` // SHA-256 of its token in hex
	FactID journal.ID `json:"fact"`
}

// ListCalendars returns the calendars that are open, in the order in which they were opened.
func ListCalendars(facts []journal.Fact) []Calendar {
	list := []Calendar{}
	for _, f := range journal.Effective(facts, nil) {
		if f.Scope != journal.HouseScope || f.Kind != journal.KindCalendarOpened {
			continue
		}
		if b, ok := journal.DecodeBody[journal.CalendarOpened](f); ok {
			list = append(list, Calendar{b.Name, b.Hash, f.ID})
		}
	}
	return list
}
