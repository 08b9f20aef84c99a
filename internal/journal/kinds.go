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

	newBody func() bodyChecker
}

// bodyChecker is a body that knows what it must hold.
type bodyChecker interface{ check() error }

// bodyOf makes the constructor of a kind's body of type T.
func bodyOf[T any, P interface {
	*T
	bodyChecker
}]() func() bodyChecker {
	return func() bodyChecker { return P(new(T)) }
}

// FindKind gives the kind of that name.
func FindKind(name string) (Kind, bool) {
	k, ok := kindByName[name]
	return k, ok
}

var kindByName = func() map[string]Kind {
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
	b := k.newBody()
	if err := json.Unmarshal(d.Body, b); err != nil {
		return fault.New(fault.Input, "the body of %s does not fit its kind: %v", k.Name, err)
	}
	return b.check()
}

// CheckBody returns a fault where f is of a kind that this program knows and does not hold
// what that kind needs. Author.Write writes no such fact; what came from elsewhere may
// be anything.
func (f Fact) CheckBody() error {
	k, known := FindKind(f.Kind)
	if !known {
		return nil
	}
	return k.check(Draft{Scope: f.Scope, Subject: f.Subject, Body: f.Body})
}

// The kinds that packages name.
const (
	KindFactWithdrawn  = "fact.withdrawn"
	KindFactRestored   = "fact.restored"
	KindClockMeasured  = "clock.measured"
	KindNumbersLeased  = "numbers.leased"
	KindBatchForgotten = "batch.forgotten"
	KindBlanksPrinted  = "blanks.printed"
	KindPieceTagged    = "piece.tagged"
)

// Kinds are all kinds of fact, in the order of the job. Kinds that no screen
// writes yet are listed too, so that their names and bodies are settled once.
var Kinds = []Kind{
	{KindFactWithdrawn, 1, 1, "batch place shelf house", "an earlier fact does not hold: undo", bodyOf[Target]()},
	{KindFactRestored, 1, 1, "batch place shelf house", "a withdrawn fact holds again: redo", bodyOf[Target]()},
	{KindClockMeasured, 1, 1, "batch place", "how far the writer's clock is from the hub's", bodyOf[ClockMeasured]()},

	{"batch.started", 1, 1, "batch", "a batch begins; the subject is the batch", bodyOf[BatchStarted]()},
	{"batch.changed", 1, 1, "batch", "its name, note or day is another", bodyOf[BatchChanged]()},
	{"batch.finished", 1, 1, "batch", "all of it is dry and folded", bodyOf[NoteBody]()},
	{"batch.repeated", 1, 1, "batch", "it repeats an earlier batch, scaled", bodyOf[BatchRepeated]()},
	{KindBatchForgotten, 1, 1, "house", "the batch of that id was removed for good; a tombstone", bodyOf[NoteBody]()},
	{KindNumbersLeased, 1, 1, "batch", "the hub gives a phone a block of bag numbers", bodyOf[NumbersLeased]()},

	{"piece.added", 1, 1, "batch", "pieces of one kind join the batch", bodyOf[PieceAdded]()},
	{"piece.changed", 1, 1, "batch", "a property of the pieces is another", bodyOf[PieceChanged]()},
	{"piece.scoured", 1, 1, "batch", "finish and softener were washed out", bodyOf[PieceScoured]()},
	{"piece.tied", 1, 1, "batch", "the piece was folded and bound", bodyOf[PieceTied]()},
	{"piece.dyed", 1, 1, "batch", "dye was put on the piece", bodyOf[PieceDyed]()},
	{KindPieceTagged, 1, 1, "batch", "numbered tags of the pieces were printed", bodyOf[NumberRange]()},
	{"piece.photographed", 1, 1, "batch", "a photo of the piece, by content hash", bodyOf[PiecePhotographed]()},

	{"colour.chosen", 1, 1, "batch", "a colour of the batch", bodyOf[ColourChosen]()},
	{"colour.changed", 1, 1, "batch", "a property of the colour is another", bodyOf[ColourChanged]()},

	{"soak.mixed", 1, 1, "batch", "soda ash was dissolved for the soak", bodyOf[SoakMixed]()},
	{"soak.topped", 1, 1, "batch", "bath of the same strength was added", bodyOf[SoakMixed]()},
	{"soak.checked", 1, 1, "batch", "the pH of the bath was measured", bodyOf[SoakChecked]()},
	{"soak.begun", 1, 1, "batch", "pieces went into the bath", bodyOf[SoakPieces]()},
	{"soak.ended", 1, 1, "batch", "pieces came out, wrung", bodyOf[SoakPieces]()},
	{"soak.discarded", 1, 1, "batch", "the bath was poured away", bodyOf[NoteBody]()},

	{"jug.mixed", 1, 1, "batch", "powder was made up to a volume", bodyOf[JugMixed]()},
	{"jug.thinned", 1, 1, "batch", "the jug was made up to more", bodyOf[JugThinned]()},
	{"jug.activated", 1, 1, "batch", "soda ash went into the dye; it dies within hours", bodyOf[JugActivated]()},
	{"jug.discarded", 1, 1, "batch", "what was left was poured away", bodyOf[NoteBody]()},
	{"bottle.filled", 1, 1, "batch", "a bottle was filled from a jug", bodyOf[BottleFilled]()},

	{KindBlanksPrinted, 1, 1, "batch", "numbered blanks were printed; the subject is the printing", bodyOf[NumberRange]()},
	{"bag.closed", 1, 1, "batch", "wet dyed pieces were bagged: the cure begins", bodyOf[BagClosed]()},
	{"bag.changed", 1, 1, "batch", "a property of the bag is another", bodyOf[BagChanged]()},
	{"bag.moved", 1, 1, "batch", "the bag stands in another place", bodyOf[BagMoved]()},
	{"bag.looked", 1, 1, "batch", "opened for a look and closed again", bodyOf[BagLooked]()},
	{"bag.dyed", 1, 1, "batch", "dye was added to what is in the bag", bodyOf[BagDyed]()},
	{"bag.dried", 1, 1, "batch", "a piece in the bag had gone dry", bodyOf[BagDried]()},
	{"bag.split", 1, 1, "batch", "pieces were taken over into another bag", bodyOf[BagSplit]()},
	{"bag.bound", 1, 1, "batch", "a numbered blank was tied to the bag", bodyOf[BagBound]()},
	{"bag.printed", 1, 1, "batch", "a label of the bag was printed", bodyOf[BagPrinted]()},
	{"bag.opened", 1, 1, "batch", "unwrapped: the cure ends", bodyOf[BagOpened]()},
	{"bag.rinsed", 1, 1, "batch", "rinsed until it ran clear", bodyOf[BagRinsed]()},
	{"bag.done", 1, 1, "batch", "washed and dry", bodyOf[BagDone]()},

	{"rinse.done", 1, 1, "batch", "one bath of the rinse", bodyOf[RinseDone]()},
	{"rag.tested", 1, 1, "batch", "a white rag was pressed on it", bodyOf[RagTested]()},
	{"wash.done", 1, 1, "batch", "washed by machine", bodyOf[WashDone]()},

	{"result.rated", 1, 1, "batch", "how it came out", bodyOf[ResultRated]()},
	{"result.measured", 1, 1, "batch", "colours measured before and after", bodyOf[ResultMeasured]()},
	{"cost.set", 1, 1, "batch shelf", "what something cost", bodyOf[CostSet]()},

	{"place.named", 1, 1, "place", "a place where bags stand", bodyOf[PlaceNamed]()},
	{"place.read", 1, 1, "place", "a temperature there", bodyOf[PlaceRead]()},
	{"place.usual", 1, 1, "place", "its usual night and day", bodyOf[PlaceUsual]()},
	{"place.sensed", 1, 1, "place", "a sensor reports there", bodyOf[PlaceSensed]()},

	{"stock.known", 1, 1, "shelf", "a powder, alkali, bottle or scale in the house", bodyOf[StockKnown]()},
	{"stock.bought", 1, 1, "shelf", "more of it came in", bodyOf[StockMoved]()},
	{"stock.used", 1, 1, "shelf", "some was used", bodyOf[StockMoved]()},
	{"stock.counted", 1, 1, "shelf", "what is there was weighed or counted", bodyOf[StockMoved]()},
	{"stock.thrown", 1, 1, "shelf", "some was thrown away", bodyOf[StockMoved]()},

	{"device.joined", 1, 1, "house", "a phone joined the house", bodyOf[DeviceJoined]()},
	{"device.named", 1, 1, "house", "the phone is called so", bodyOf[DeviceNamed]()},
	{"device.revoked", 1, 1, "house", "the phone is let in no more", bodyOf[NoteBody]()},
	{"share.opened", 1, 1, "batch", "helpers may join with a code", bodyOf[ShareOpened]()},
	{"share.joined", 1, 1, "batch", "a helper's phone joined", bodyOf[DeviceNamed]()},
	{"share.closed", 1, 1, "batch", "the sharing ended", bodyOf[NoteBody]()},
}
