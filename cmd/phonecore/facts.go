package main

import (
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// factCalls make facts and ids.
var factCalls = callTable{
	"facts.write":       jsonCall(writeFacts),
	"facts.latestStamp": jsonCall(latestStamp),
	"facts.read":        onBytes(readSaved),
	"id.new":            jsonCall(newIDs),
	"example.facts":     jsonCall(makeExample),
}

// writtenFacts holds facts, and the latest stamp that the device has seen, including theirs.
type writtenFacts struct {
	Facts []journal.Fact `json:"facts"`
	Seen  journal.Stamp  `json:"seen"`
}

func writeFacts(q struct {
	Author struct {
		Device   journal.ID    `json:"device"`
		Seen     journal.Stamp `json:"seen"`
		Now      zone.Instant  `json:"now"`
		TZ       string        `json:"tz"`
		Offset   zone.Span     `json:"offset"`
		Measured zone.Instant  `json:"measured"`
	} `json:"author"`
	Drafts []journal.Draft `json:"drafts"`
}) (writtenFacts, error) {
	a := journal.Author{Device: q.Author.Device, LatestStamp: q.Author.Seen, Now: q.Author.Now, TZ: q.Author.TZ,
		Offset: q.Author.Offset, OffsetMeasured: q.Author.Measured, Random: fillRandom}
	if err := a.Device.Check("device"); err != nil {
		return writtenFacts{}, err
	}
	facts, err := a.MakeFacts(q.Drafts)
	return writtenFacts{facts, a.LatestStamp}, err
}

func latestStamp(q struct {
	Seen  journal.Stamp  `json:"seen"`
	Facts []journal.Fact `json:"facts"`
	Now   zone.Instant   `json:"now"` // by the hub's clock
}) (writtenFacts, error) {
	return writtenFacts{Facts: []journal.Fact{}, Seen: journal.LatestStamp(q.Seen, q.Facts, q.Now)}, nil
}

// savedJournal is what a file of a saved journal holds.
type savedJournal struct {
	Facts             []journal.Fact `json:"facts"`
	UnreadableEntries int            `json:"unread"`    // entries that do not read
	Access            []journal.ID   `json:"access"`    // facts that decide who has access, or take back or restore one that does, and what only the hub writes of a batch that the phone has
	Rekeyings         []journal.ID   `json:"rekeyings"` // facts that would start a batch again with another secret
	Targets           []journal.ID   `json:"targets"`   // facts that others of the file take back or restore: the phone may know them
}

// readQuery names a file. Known is what the phone has of the targets that an earlier call gave.
type readQuery struct {
	Name  string         `json:"name"`
	Known []journal.Fact `json:"known"`

	Secrets map[journal.ID]journal.ID `json:"secrets"` // of the batches that the phone has
}

// readSaved reads a file as the program at home does, byte for byte: JSON.parse would take
// a name that stands twice, or a number that is out of range, for something else.
func readSaved(q readQuery, text []byte) (savedJournal, []byte, error) {
	facts, unread, err := journal.ReadSavedFile(q.Name, text)
	if err != nil {
		return savedJournal{}, nil, err
	}
	byID := make(map[journal.ID]journal.Fact, len(facts)+len(q.Known))
	for _, f := range facts {
		byID[f.ID] = f
	}
	for _, f := range q.Known { // the phone's own, also where the file has another of that id
		byID[f.ID] = f
	}
	find := func(id journal.ID) (journal.Fact, bool) { f, isKnown := byID[id]; return f, isKnown }
	saved := savedJournal{Facts: facts, UnreadableEntries: unread, Access: []journal.ID{}, Rekeyings: []journal.ID{}, Targets: []journal.ID{}}
	for _, f := range facts {
		secret := q.Secrets[f.Scope.Batch()]
		if rights.HasOtherSecret(f, secret) {
			saved.Rekeyings = append(saved.Rekeyings, f.ID)
		} else if rights.ChangesAccess(f, find) || secret != "" && rights.CheckImport(f) != nil {
			saved.Access = append(saved.Access, f.ID)
		} else if target, isTargeted := f.Target(); isTargeted && len(q.Known) == 0 {
			saved.Targets = append(saved.Targets, target)
		}
	}
	return saved, nil, nil
}

func newIDs(q struct {
	N int `json:"n"`
}) ([]journal.ID, error) {
	if q.N < 1 || q.N > 1000 {
		return nil, fault.New(fault.Input, "%d ids cannot be made at once", q.N).WithHint("from 1 to 1000")
	}
	a := journal.Author{Random: fillRandom}
	ids := make([]journal.ID, q.N)
	for i := range ids {
		ids[i] = a.NewID()
	}
	return ids, nil
}

// exampleFacts is the example's facts and the device that wrote them.
type exampleFacts struct {
	Facts  []journal.Fact `json:"facts"`
	Device journal.ID     `json:"device"`
}

func makeExample(q struct {
	Now zone.Instant `json:"now"`
	TZ  string       `json:"tz"`
}) (exampleFacts, error) {
	facts, err := batchview.Example(q.Now, q.TZ, fillRandom)
	if err != nil || len(facts) == 0 {
		return exampleFacts{}, err
	}
	return exampleFacts{facts, facts[0].Device}, nil
}
