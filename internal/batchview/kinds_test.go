package batchview

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// testID returns the id that the samples write as "#n".
func testID(n int) journal.ID { return journal.NewID([16]byte{0: byte(n >> 8), 1: byte(n)}) }

// The subjects of the samples, and of what their bodies name.
const (
	batchNo, pieceNo, pieceNo2, colourNo, colourNo2, soakNo, jugNo, jugNo2 = 1, 11, 12, 21, 22, 31, 41, 42
	bagNo, bagNo2, placeNo, placeNo2, printingNo, phoneNo, phoneNo2        = 51, 52, 61, 62, 71, 200, 201
)

var subjectNo = map[journal.Entity]int{journal.EntityAny: bagNo, journal.EntityBatch: batchNo, journal.EntityPiece: pieceNo, journal.EntityColour: colourNo,
	journal.EntitySoak: soakNo, journal.EntityJug: jugNo, journal.EntityPrinting: printingNo, journal.EntityBag: bagNo, journal.EntityPlace: placeNo,
	journal.EntityStock: 81, journal.EntityDesign: 91, journal.EntityPhone: phoneNo}

// sampleBodies is a body of every kind with every property set; "#n" is the id testID(n),
// and "~n" the id of the sample fact number n.
var sampleBodies = map[string]string{
	journal.KindFactWithdrawn: `{"target":"~5"}`,
	journal.KindFactRestored:  `{"target":"~5"}`,
	journal.KindClockMeasured: `{"offset":600000}`,

	journal.KindBatchStarted:   `{"name":"spring","secret":"#2","note":"for the market","for":1780000000000,"rinse":1780000000000}`,
	journal.KindBatchChanged:   `{"name":"late spring","note":"six more","for":1780100000000,"rinse":1780100000000}`,
	journal.KindBatchFinished:  `{"note":"folded"}`,
	journal.KindBatchRepeated:  `{"from":"#3","scale":1.5}`,
	journal.KindBatchForgotten: `{"note":"a test"}`,
	journal.KindNumbersLeased:  `{"device":"#200","from":1,"to":20}`,

	journal.KindPieceAdded:        `{"kind":"apron","name":"long apron","count":3,"grams":180,"assumed":true,"fibre":"cotton","share":0.6,"fold":"spiral","blend":[{"fibre":"cotton","share":0.6},{"fibre":"polyester","share":0.4}],"colours":[{"colour":"#21","share":1}],"depth":0.5,"note":"a gift","owner":"upstairs","price":3}`,
	journal.KindPieceChanged:      `{"kind":"pillowcase","name":"old case","count":4,"grams":190,"assumed":true,"fibre":"linen","share":0.7,"fold":"rings","blend":[{"fibre":"cotton","share":0.6},{"fibre":"polyester","share":0.4}],"colours":[{"colour":"#21","share":1}],"depth":0.5,"note":"a gift","owner":"upstairs","price":3}`,
	journal.KindPieceSplit:        `{"into":"#12","count":2}`,
	journal.KindPieceRemoved:      `{"note":"torn"}`,
	journal.KindPieceScoured:      `{"celsius":60}`,
	journal.KindPieceDesigned:     `{"name":"snail shell","code":"MQ","fold":"spiral","steps":[{"side":"a","section":1,"colour":"#21","ml":40}]}`,
	journal.KindPieceTied:         `{"fold":"wedge","bands":3}`,
	journal.KindPieceTaken:        `{"count":2}`,
	journal.KindPieceDyed:         `{"sections":[{"name":"left","colour":"#21","ml":40}]}`,
	journal.KindPieceTagged:       `{"from":31,"to":33,"letter":"A","sheet":"a4-70x37"}`,
	journal.KindPiecePhotographed: `{"sha256":"` + strings.Repeat("ab", 32) + `","stage":"opened","bag":"#51"}`,

	journal.KindColourChosen:  `{"name":"rust","caps":"RU","rgb":"#b5372a","class":"dichlorotriazine","generic":"C.I. Reactive Brown 1","strength":34,"depth":0.5,"ml":240,"stock":"#81","on_cloth":0.02,"grams":12,"holds":240,"bottles":2}`,
	journal.KindColourChanged: `{"name":"fox","caps":"FO","rgb":"#aa3300","class":"vinyl-sulfone","generic":"C.I. Reactive Red 2","strength":30,"depth":0.7,"ml":250,"stock":"#81","on_cloth":0.02,"grams":12,"holds":240,"bottles":2}`,
	journal.KindColourRemoved: `{"note":"too loud"}`,

	journal.KindPowderOpened: `{"note":"by the sink"}`,
	journal.KindPowderClosed: `{"note":"wiped up"}`,

	journal.KindSoakDissolved: `{"clear":true}`,
	journal.KindSoakMixed:     `{"water":3000,"soda":60,"form":"decahydrate","celsius":30,"hardness":200,"stock":"#82"}`,
	journal.KindSoakTopped:    `{"water":1000,"soda":20,"form":"decahydrate","celsius":30,"hardness":200,"stock":"#82"}`,
	journal.KindSoakChecked:   `{"ph":11.2,"with":"strip","celsius":25}`,
	journal.KindSoakBegun:     `{"pieces":["#11"]}`,
	journal.KindSoakEnded:     `{"pieces":["#11"]}`,
	journal.KindSoakDiscarded: `{"note":"grey"}`,

	journal.KindJugMixed:     `{"colour":"#21","powder":8.1,"ml":240,"urea":20,"softener":5,"alginate":2,"celsius":30,"stock":"#81"}`,
	journal.KindJugThinned:   `{"ml":300}`,
	journal.KindJugTopped:    `{"powder":1.5,"ml":50}`,
	journal.KindJugActivated: `{"soda":4}`,
	journal.KindJugDiscarded: `{"note":"old"}`,
	journal.KindBottleFilled: `{"jug":"#41","ml":120,"count":2}`,

	journal.KindBlanksPrinted: `{"from":41,"to":43,"letter":"A","sheet":"a4-70x37"}`,
	journal.KindBagClosed: `{"number":8,"letter":"A","pieces":[{"piece":"#11","count":2}],"colours":[{"colour":"#21","share":1}],
		"fold":"rings","place":"#61","celsius":18,"note":"tight"}`,
	journal.KindBagChanged: `{"pieces":[{"piece":"#11","count":2}],"colours":[{"colour":"#21","share":1}],"fold":"stripes","celsius":19,"note":"loose"}`,
	journal.KindBagMoved:   `{"place":"#61","celsius":20}`,
	journal.KindBagLooked:  `{"seconds":30}`,
	journal.KindBagDyed:    `{"colours":[{"colour":"#21","share":1}]}`,
	journal.KindBagDried:   `{"wetted":true,"note":"one corner"}`,
	journal.KindBagWeighed: `{"grams":512}`,
	journal.KindBagSplit:   `{"into":"#52","pieces":[{"piece":"#11","count":1}]}`,
	journal.KindBagBound:   `{"token":"0011223344556677"}`,
	journal.KindBagPrinted: `{"code":"X","ready":1780000000000,"sheet":"a4-70x37"}`,
	journal.KindBagOpened:  `{"note":"bright"}`,
	journal.KindBagRinsed:  `{"baths":4,"clear":true}`,
	journal.KindBagDone:    `{"note":"soft"}`,

	journal.KindRinseDone: `{"bags":["#51"],"tub":"#51","water":8000,"celsius":15,"soap":true}`,
	journal.KindRagTested: `{"showed":"tinted","celsius":40}`,
	journal.KindWashDone:  `{"bags":["#51"],"celsius":60,"alone":true}`,

	journal.KindResultRated:    `{"overall":4,"bright":3,"even":4,"white":"some","white_share":0.1,"bled":"none","faults":["pale"],"note":"again","cleared":["even"]}`,
	journal.KindResultMeasured: `{"before":[50,20,30],"after":[52,18,28],"rough":true}`,
	journal.KindColourRead:     `{"lab":[50,20,30],"error":4,"sha256":"` + strings.Repeat("ab", 32) + `","washes":3}`,
	journal.KindCostSet:        `{"what":"soda ash","price":3.5,"amount":1000,"unit":"g"}`,

	journal.KindPlaceNamed:    `{"name":"shed"}`,
	journal.KindPlaceRead:     `{"celsius":18,"where":"dummy","error":0.5,"sensor":"north wall"}`,
	journal.KindPlaceExtremes: `{"low":4,"high":19,"low_at":1770000000000,"high_at":1770030000000,"where":"air"}`,
	journal.KindPlaceUsual:    `{"low":9,"high":22}`,
	journal.KindPlaceSensed:   `{"name":"north wall","hash":"h"}`,

	journal.KindStockKnown:   `{"name":"rust","sort":"dye","class":"vinyl-sulfone","generic":"C.I. Reactive Red 2","strength":34,"rgb":"#b5372a","division":0.1,"holds":240,"lot":"7","opened":1770000000000,"keep":50}`,
	journal.KindStockChanged: `{"name":"rust","class":"vinyl-sulfone","generic":"C.I. Reactive Red 2","strength":34,"rgb":"#b5372a","division":0.1,"holds":240,"lot":"7","opened":1770000000000,"keep":50,"gone":true}`,
	journal.KindStockBought:  `{"amount":100,"price":9.5,"currency":"EUR","batch":"#1","of":"#41","meets":"#21","note":"tin"}`,
	journal.KindStockUsed:    `{"amount":8,"price":9.5,"currency":"EUR","batch":"#1","of":"#41","meets":"#21","note":"jug"}`,
	journal.KindStockCounted: `{"amount":90,"price":9.5,"currency":"EUR","batch":"#1","of":"#41","meets":"#21","note":"weighed"}`,
	journal.KindStockThrown:  `{"amount":5,"price":9.5,"currency":"EUR","batch":"#1","of":"#41","meets":"#21","note":"damp"}`,

	journal.KindSumsSet: `{"currency":"EUR","hourly":15,"margin":0.3,"hardness":180,"pick_up":{"value":2.4,"results":7},"cure":{"value":0.85,"results":12}}`,

	journal.KindDesignKept:  `{"name":"snail shell","code":"MQ"}`,
	journal.KindDesignTried: `{"fold":"spiral","white_share":0.25,"effect":0.8,"bag":"#51","note":"tight"}`,

	journal.KindDeviceJoined:   `{"name":"Kai","letter":"A"}`,
	journal.KindDeviceNamed:    `{"name":"Kai's phone"}`,
	journal.KindDeviceRevoked:  `{"note":"lost"}`,
	journal.KindCalendarOpened: `{"name":"kitchen tablet","hash":"h"}`,
	journal.KindShareOpened:    `{"hash":"h","until":1780000000000}`,
	journal.KindHelperJoined:   `{"name":"Kai"}`,
	journal.KindShareClosed:    `{"note":"done"}`,
}

// otherValues are other values of the properties that samples set.
var otherValues = map[string]string{
	"target": `"~7"`, "offset": `-900000`, "name": `"another"`, "note": `"another"`, "for": `1790000000000`, "until": `1790000000000`, "rinse": `1790000000000`, "ready": `1790000000000`,
	"scale": `2`, "device": `"#201"`, "from": `2`, "to": `45`, "kind": `"towel"`, "count": `1`, "grams": `210`, "assumed": `false`, "fibre": `"viscose"`,
	"share": `0.5`, "fold": `"crumple"`, "white_share": `0.5`, "effect": `1.2`, "steps": `[{"section":2,"colour":"#22","ml":50}]`, "celsius": `35`, "bands": `5`, "sections": `[{"name":"right","colour":"#22","ml":50}]`, "letter": `"B"`, "sheet": `"62x29"`,
	"stage": `"done"`, "bag": `"#52"`, "caps": `"XX"`, "rgb": `"#000000"`, "class": `"unknown"`, "generic": `"C.I. Reactive Blue 3"`, "strength": `50`, "depth": `0.9`,
	"ml": `170`, "water": `5000`, "soda": `99`, "form": `"monohydrate"`, "ph": `10.5`, "with": `"meter"`, "pieces": `["#12"]`, "colour": `"#22"`, "powder": `9.9`,
	"urea": `33`, "softener": `33`, "alginate": `33`, "jug": `"#42"`, "number": `9`, "place": `"#62"`, "seconds": `90`, "wetted": `false`, "into": `"#51"`,
	"token": `"no such token"`, "baths": `7`, "clear": `false`, "bags": `["#52"]`, "soap": `false`, "showed": `"clean"`, "alone": `false`, "overall": `2`, "bright": `5`,
	"white": `"much"`, "bled": `"much"`, "before": `[60,1,2]`, "after": `[61,1,2]`, "rough": `false`, "what": `"urea"`, "price": `9`, "amount": `500`, "unit": `"kg"`,
	"low_at": `1770003600000`, "high_at": `1770040000000`, "where": `"bag"`, "tub": `"#52"`,
	"error": `1.5`, "sensor": `"south"`, "low": `5`, "high": `30`, "sort": `"alkali"`, "division": `1`, "holds": `500`,
	"colours": `[{"colour":"#22","share":1}]`, "blend": `[{"fibre":"cotton","share":0.5},{"fibre":"acrylic","share":0.5}]`, "owner": `"next door"`,
	"on_cloth": `0.03`, "bottles": `3`, "lot": `"8"`, "opened": `1771000000000`, "keep": `20`, "gone": `false`, "currency": `"JPY"`, "hourly": `16`, "margin": `0.4`, "hardness": `60`,
	"even": `1`, "faults": `["bled"]`, "lab": `[51,2,3]`, "washes": `8`,
}

// bagPieces is a second value for the property "pieces" of bodies in which pieces are counted.
const bagPieces = `[{"piece":"#12","count":1}]`

// notInHistory are properties that no line of a history shows, with the reason.
var notInHistory = map[string]string{
	"tub":   "an id that only groups bags",
	"typed": "what the person typed: the line shows the value", "secret": "must not be shown", "hash": "must not be shown",
	"sha256": "the line shows the photo", "code": "only a reader of labels understands it",
	"stock": "the id of a thing on the shelf", "stock.* of": "the id of a fact of a batch",
	"piece.split into": "the id of the new line", "design.tried bag": "the id of a bag, whose own history tells of its rating",
	"batch.repeated from": "the id of another batch: the line shows its name where that is known", "stock.* batch": "the id of another batch",
}

func isNotInHistory(kind, field string) bool {
	subject, _, _ := strings.Cut(kind, ".")
	return notInHistory[field] != "" || notInHistory[kind+" "+field] != "" || notInHistory[subject+".* "+field] != ""
}

// expand writes the ids of a sample.
func expand(body string) string {
	for n := 300; n > 0; n-- {
		body = strings.ReplaceAll(body, fmt.Sprintf(`"#%d"`, n), `"`+string(testID(n))+`"`)
		body = strings.ReplaceAll(body, fmt.Sprintf(`"~%d"`, n), `"`+string(testID(1000+n))+`"`)
	}
	return body
}

// sampleFact makes fact number n of a kind with a body.
func sampleFact(t testing.TB, n int, kind journal.Kind, subject int, body string) journal.Fact {
	t.Helper()
	scope := map[string]journal.Scope{"batch": journal.BatchScope(testID(batchNo)), "place": journal.PlaceScope(testID(placeNo)),
		"shelf": journal.ShelfScope, "designs": journal.DesignsScope, "house": journal.HouseScope}[strings.Fields(kind.Scopes)[0]]
	const start = zone.Instant(1_770_000_000_000)
	f := journal.Fact{ID: testID(1000 + n), Stamp: journal.Stamp{Milliseconds: start.Add(zone.Span(n) * zone.Minute)}, Device: testID(phoneNo), Scope: scope,
		Subject: testID(subject), Kind: kind.Name, Version: kind.Version, NeededVersion: kind.NeededVersion, At: start.Add(zone.Span(n) * zone.Minute), TZ: "UTC", Body: json.RawMessage(expand(body))}
	if err := f.CheckBody(); err != nil {
		t.Fatalf("sample of %s: %v", kind.Name, err)
	}
	return f
}

// sampleFacts returns a fact of every kind, in the order of journal.Kinds. Before them it adds
// a second piece, colour, jug and bag, for bodies that refer to one.
func sampleFacts(t testing.TB) (facts []journal.Fact) {
	t.Helper()
	add := func(kind string, subject int, body string) {
		k, _ := journal.FindKind(kind)
		facts = append(facts, sampleFact(t, len(facts)+1, k, subject, body))
	}
	add(journal.KindPieceAdded, pieceNo2, `{"kind":"towel","count":2,"grams":300}`)
	add(journal.KindColourChosen, colourNo2, `{"name":"sea","caps":"SE","rgb":"#17606b","class":"unknown","strength":26,"depth":1}`)
	add(journal.KindJugMixed, jugNo2, expand(`{"colour":"#22","powder":5,"ml":200}`))
	add(journal.KindBagClosed, bagNo2, expand(`{"number":9,"pieces":[{"piece":"#12","count":1}],"colours":[{"colour":"#22","share":1}]}`))
	for _, k := range journal.Kinds {
		body, ok := sampleBodies[k.Name]
		if !ok {
			t.Fatalf("kind %s has no sample here: add one with every property of its body", k.Name)
		}
		add(k.Name, subjectNo[k.Subject], body)
	}
	return facts
}

// A line of the history must hold each fact of each body: another value gives another
// line. What is not shown is listed with its reason.
func TestHistoryHoldsEachBody(t *testing.T) {
	all := sampleFacts(t)
	e := ViewEnv{Now: 1_780_000_000_000, Zone: lisbon, Places: map[journal.ID]batch.PlaceState{testID(placeNo): {Name: "shed"}, testID(placeNo2): {Name: "loft"}},
		Names: map[journal.ID]string{testID(phoneNo): "kitchen phone", testID(phoneNo2): "other phone"}}
	h := historyWriter{State: batch.Build(all), ViewEnv: e, names: e.Names, facts: map[journal.ID]journal.Fact{}}
	h.Blanks = append(h.Blanks, batch.BlankLabel{Number: 41, Letter: "A", Token: "0011223344556677"})
	for _, f := range all {
		h.facts[f.ID] = f
	}
	for _, k := range journal.Kinds {
		if k.Words == "" {
			t.Errorf("kind %s has no words: add them in journal.Kinds", k.Name)
		}
		var sample map[string]json.RawMessage
		if err := json.Unmarshal([]byte(expand(sampleBodies[k.Name])), &sample); err != nil {
			t.Fatalf("%s: %v", k.Name, err)
		}
		line := func(body map[string]json.RawMessage) string {
			text, _ := json.Marshal(body)
			return h.line(journal.Fact{Kind: k.Name, Subject: testID(subjectNo[k.Subject]), Body: text})
		}
		for _, field := range jsonFields(reflect.TypeOf(k.NewBody()).Elem()) {
			if isNotInHistory(k.Name, field) {
				continue
			}
			if sample[field] == nil {
				t.Errorf("the sample of %s has no %s: set every property of the body", k.Name, field)
				continue
			}
			changed := map[string]json.RawMessage{}
			for name, v := range sample {
				changed[name] = v
			}
			other := otherValues[field]
			if field == "pieces" && k.Subject == journal.EntityBag {
				other = bagPieces
			}
			changed[field] = json.RawMessage(expand(other))
			if was, is := line(sample), line(changed); was == is {
				t.Errorf("the history of %s does not show %s: both %s and %s give %q. Add it to details in details.go, or to notInHistory with the reason",
					k.Name, field, sample[field], changed[field], was)
			}
		}
	}
}

// A program can show whatever it writes: no kind asks for a version of the state that this
// program does not have, or every phone would tell its person to update.
func TestNoKindNeedsANewerProgram(t *testing.T) {
	for _, k := range journal.Kinds {
		if k.NeededVersion > batch.StateVersion {
			t.Errorf("%s needs version %d, and this is %d", k.Name, k.NeededVersion, batch.StateVersion)
		}
	}
}

// jsonFields lists the names of the JSON fields of a struct.
func jsonFields(t reflect.Type) (names []string) {
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			names = append(names, jsonFields(f.Type)...)
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		names = append(names, name)
	}
	return names
}

// builtElsewhere are the kinds of batches and places that the builder reads outside the
// tables of changes, with the function that does.
var builtElsewhere = map[string]string{
	journal.KindFactWithdrawn: "journal.Effective", journal.KindFactRestored: "journal.Effective",
	journal.KindClockMeasured: "readClocks", journal.KindNumbersLeased: "journal.NumbersOf",
}

// The table of kinds and the tables of changes agree.
func TestKindsAreApplied(t *testing.T) {
	known := map[string]bool{}
	for _, k := range journal.Kinds {
		known[k.Name] = true
		scope := strings.Fields(k.Scopes)[0]
		applied := batch.IsApplied(k.Name) || builtElsewhere[k.Name] != ""
		switch {
		case scope != "batch" && scope != "place" && scope != "designs":
		case k.Effect == journal.EffectChanges && !applied:
			t.Errorf("kind %s says that it changes its subject: add a function to changes in apply.go", k.Name)
		case k.Effect != journal.EffectChanges && applied:
			t.Errorf("kind %s has a function in changes: set its Effect to Changes in journal.Kinds", k.Name)
		}
	}
	for name := range detailWriters {
		if !known[name] {
			t.Errorf("details has kind %s, which journal.Kinds does not", name)
		}
	}
}
