package journal

import (
	"encoding/json"
	"strings"

	"coldbatch/internal/fault"
)

// Kind is a sort of fact: its name, the version of its body, the oldest state
// version that can show its subject truthfully (Need), and the sorts of scope it
// may stand in.
type Kind struct {
	Name    string `json:"name"`
	Version int    `json:"version"`
	Need    int    `json:"need"`
	Scopes  string `json:"scopes"` // sorts of scope, separated by spaces
	Doc     string `json:"doc"`

	body func() checker
}

// checker is a body that knows what it must hold.
type checker interface{ check() error }

// body makes the constructor of a kind's body of type T.
func body[T any, P interface {
	*T
	checker
}]() func() checker {
	return func() checker { return P(new(T)) }
}

// Find gives the kind of that name.
func Find(name string) (Kind, bool) {
	k, ok := byName[name]
	return k, ok
}

var byName = func() map[string]Kind {
	m := make(map[string]Kind, len(Kinds))
	for _, k := range Kinds {
		m[k.Name] = k
	}
	return m
}()

// check says whether d can be written as this kind.
func (k Kind) check(d Draft) error {
	if err := d.Scope.Check(); err != nil {
		return err
	}
	sort, _ := d.Scope.Split()
	if !strings.Contains(" "+k.Scopes+" ", " "+sort+" ") {
		return fault.New(fault.Input, "%s cannot be written in scope %s", k.Name, sort).
			WithHint("its scope is %s", strings.ReplaceAll(k.Scopes, " ", " or "))
	}
	if d.Subject != "" {
		if err := d.Subject.Check("subject of " + k.Name); err != nil {
			return err
		}
	}
	b := k.body()
	if err := json.Unmarshal(d.Body, b); err != nil {
		return fault.New(fault.Input, "the body of %s does not fit its kind: %v", k.Name, err)
	}
	return b.check()
}

// Fits returns a fault where f is of a kind that this program knows and does not hold
// what that kind needs. Author.Write writes no such fact; what came from elsewhere may
// be anything.
func (f Fact) Fits() error {
	k, known := Find(f.Kind)
	if !known {
		return nil
	}
	return k.check(Draft{Scope: f.Scope, Subject: f.Subject, Body: f.Body})
}

// The kinds that packages name.
const (
	KindWithdrawn = "fact.withdrawn"
	KindRestored  = "fact.restored"
	KindMeasured  = "clock.measured"
	KindLeased    = "numbers.leased"
	KindForgotten = "batch.forgotten"
	KindBlanks    = "blanks.printed"
	KindTagged    = "piece.tagged"
)

// Kinds are all kinds of fact, in the order of the job. Kinds that no screen
// writes yet are listed too, so that their names and bodies are settled once.
var Kinds = []Kind{
	{KindWithdrawn, 1, 1, "batch place shelf house", "an earlier fact does not hold: undo", body[Target]()},
	{KindRestored, 1, 1, "batch place shelf house", "a withdrawn fact holds again: redo", body[Target]()},
	{KindMeasured, 1, 1, "batch place", "how far the writer's clock is from the hub's", body[Measured]()},

	{"batch.started", 1, 1, "batch", "a batch begins; the subject is the batch", body[BatchStarted]()},
	{"batch.changed", 1, 1, "batch", "its name, note or day is another", body[BatchChanged]()},
	{"batch.finished", 1, 1, "batch", "all of it is dry and folded", body[Nothing]()},
	{"batch.repeated", 1, 1, "batch", "it repeats an earlier batch, scaled", body[BatchRepeated]()},
	{KindForgotten, 1, 1, "house", "the batch of that id was removed for good; a tombstone", body[Nothing]()},
	{KindLeased, 1, 1, "batch", "the hub gives a phone a block of bag numbers", body[Leased]()},

	{"piece.added", 1, 1, "batch", "pieces of one kind join the batch", body[PieceAdded]()},
	{"piece.changed", 1, 1, "batch", "a property of the pieces is another", body[PieceChanged]()},
	{"piece.scoured", 1, 1, "batch", "finish and softener were washed out", body[Scoured]()},
	{"piece.tied", 1, 1, "batch", "the piece was folded and bound", body[Tied]()},
	{"piece.dyed", 1, 1, "batch", "dye was put on the piece", body[PieceDyed]()},
	{KindTagged, 1, 1, "batch", "numbered tags of the pieces were printed", body[Run]()},
	{"piece.photographed", 1, 1, "batch", "a photo of the piece, by content hash", body[Photo]()},

	{"colour.chosen", 1, 1, "batch", "a colour of the batch", body[ColourChosen]()},
	{"colour.changed", 1, 1, "batch", "a property of the colour is another", body[ColourChanged]()},

	{"soak.mixed", 1, 1, "batch", "soda ash was dissolved for the soak", body[SoakMixed]()},
	{"soak.topped", 1, 1, "batch", "bath of the same strength was added", body[SoakMixed]()},
	{"soak.checked", 1, 1, "batch", "the pH of the bath was measured", body[SoakChecked]()},
	{"soak.begun", 1, 1, "batch", "pieces went into the bath", body[SoakPieces]()},
	{"soak.ended", 1, 1, "batch", "pieces came out, wrung", body[SoakPieces]()},
	{"soak.discarded", 1, 1, "batch", "the bath was poured away", body[Nothing]()},

	{"jug.mixed", 1, 1, "batch", "powder was made up to a volume", body[JugMixed]()},
	{"jug.thinned", 1, 1, "batch", "the jug was made up to more", body[JugThinned]()},
	{"jug.activated", 1, 1, "batch", "soda ash went into the dye; it dies within hours", body[JugActivated]()},
	{"jug.discarded", 1, 1, "batch", "what was left was poured away", body[Nothing]()},
	{"bottle.filled", 1, 1, "batch", "a bottle was filled from a jug", body[BottleFilled]()},

	{KindBlanks, 1, 1, "batch", "numbered blanks were printed; the subject is the printing", body[Run]()},
	{"bag.closed", 1, 1, "batch", "wet dyed pieces were bagged: the cure begins", body[BagClosed]()},
	{"bag.changed", 1, 1, "batch", "a property of the bag is another", body[BagChanged]()},
	{"bag.moved", 1, 1, "batch", "the bag stands in another place", body[BagMoved]()},
	{"bag.looked", 1, 1, "batch", "opened for a look and closed again", body[BagLooked]()},
	{"bag.dyed", 1, 1, "batch", "dye was added to what is in the bag", body[BagDyed]()},
	{"bag.dried", 1, 1, "batch", "a piece in the bag had gone dry", body[BagDried]()},
	{"bag.split", 1, 1, "batch", "pieces were taken over into another bag", body[BagSplit]()},
	{"bag.bound", 1, 1, "batch", "a numbered blank was tied to the bag", body[BagBound]()},
	{"bag.printed", 1, 1, "batch", "a label of the bag was printed", body[BagPrinted]()},
	{"bag.opened", 1, 1, "batch", "unwrapped: the cure ends", body[BagOpened]()},
	{"bag.rinsed", 1, 1, "batch", "rinsed until it ran clear", body[BagRinsed]()},
	{"bag.done", 1, 1, "batch", "washed and dry", body[BagDone]()},

	{"rinse.done", 1, 1, "batch", "one bath of the rinse", body[RinseDone]()},
	{"rag.tested", 1, 1, "batch", "a white rag was pressed on it", body[RagTested]()},
	{"wash.done", 1, 1, "batch", "washed by machine", body[WashDone]()},

	{"result.rated", 1, 1, "batch", "how it came out", body[ResultRated]()},
	{"result.measured", 1, 1, "batch", "colours measured before and after", body[ResultMeasured]()},
	{"cost.set", 1, 1, "batch shelf", "what something cost", body[CostSet]()},

	{"place.named", 1, 1, "place", "a place where bags stand", body[PlaceNamed]()},
	{"place.read", 1, 1, "place", "a temperature there", body[PlaceRead]()},
	{"place.usual", 1, 1, "place", "its usual night and day", body[PlaceUsual]()},
	{"place.sensed", 1, 1, "place", "a sensor reports there", body[PlaceSensed]()},

	{"stock.known", 1, 1, "shelf", "a powder, alkali, bottle or scale in the house", body[StockKnown]()},
	{"stock.bought", 1, 1, "shelf", "more of it came in", body[StockMoved]()},
	{"stock.used", 1, 1, "shelf", "some was used", body[StockMoved]()},
	{"stock.counted", 1, 1, "shelf", "what is there was weighed or counted", body[StockMoved]()},
	{"stock.thrown", 1, 1, "shelf", "some was thrown away", body[StockMoved]()},

	{"device.joined", 1, 1, "house", "a phone joined the house", body[DeviceJoined]()},
	{"device.named", 1, 1, "house", "the phone is called so", body[DeviceNamed]()},
	{"device.revoked", 1, 1, "house", "the phone is let in no more", body[Nothing]()},
	{"share.opened", 1, 1, "batch", "helpers may join with a code", body[ShareOpened]()},
	{"share.joined", 1, 1, "batch", "a helper's phone joined", body[DeviceNamed]()},
	{"share.closed", 1, 1, "batch", "the sharing ended", body[Nothing]()},
}
