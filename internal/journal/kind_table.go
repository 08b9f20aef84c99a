package journal

// The kinds by name. The table below says what each means.
const (
	KindFactWithdrawn     = "fact.withdrawn"
	KindFactRestored      = "fact.restored"
	KindClockMeasured     = "clock.measured"
	KindBatchStarted      = "batch.started"
	KindBatchChanged      = "batch.changed"
	KindBatchFinished     = "batch.finished"
	KindBatchRepeated     = "batch.repeated"
	KindBatchForgotten    = "batch.forgotten"
	KindNumbersLeased     = "numbers.leased"
	KindPieceAdded        = "piece.added"
	KindPieceChanged      = "piece.changed"
	KindPieceSplit        = "piece.split"
	KindPieceRemoved      = "piece.removed"
	KindPieceScoured      = "piece.scoured"
	KindPieceDesigned     = "piece.designed"
	KindPieceTied         = "piece.tied"
	KindPieceTaken        = "piece.taken"
	KindPieceDyed         = "piece.dyed"
	KindPieceTagged       = "piece.tagged"
	KindPiecePhotographed = "piece.photographed"
	KindColourChosen      = "colour.chosen"
	KindColourChanged     = "colour.changed"
	KindColourRemoved     = "colour.removed"
	KindPowderOpened      = "powder.opened"
	KindPowderClosed      = "powder.closed"
	KindSoakMixed         = "soak.mixed"
	KindSoakDissolved     = "soak.dissolved"
	KindSoakTopped        = "soak.topped"
	KindSoakChecked       = "soak.checked"
	KindSoakBegun         = "soak.begun"
	KindSoakEnded         = "soak.ended"
	KindSoakDiscarded     = "soak.discarded"
	KindJugMixed          = "jug.mixed"
	KindJugThinned        = "jug.thinned"
	KindJugTopped         = "jug.topped"
	KindJugActivated      = "jug.activated"
	KindJugDiscarded      = "jug.discarded"
	KindBottleFilled      = "bottle.filled"
	KindBlanksPrinted     = "blanks.printed"
	KindBagClosed         = "bag.closed"
	KindBagChanged        = "bag.changed"
	KindBagMoved          = "bag.moved"
	KindBagLooked         = "bag.looked"
	KindBagDyed           = "bag.dyed"
	KindBagDried          = "bag.dried"
	KindBagWeighed        = "bag.weighed"
	KindBagSplit          = "bag.split"
	KindBagBound          = "bag.bound"
	KindBagPrinted        = "bag.printed"
	KindBagOpened         = "bag.opened"
	KindBagRinsed         = "bag.rinsed"
	KindBagDone           = "bag.done"
	KindRinseDone         = "rinse.done"
	KindRagTested         = "rag.tested"
	KindWashDone          = "wash.done"
	KindResultRated       = "result.rated"
	KindResultMeasured    = "result.measured"
	KindColourRead        = "result.colour-read"
	KindCostSet           = "cost.set"
	KindPlaceNamed        = "place.named"
	KindPlaceRead         = "place.read"
	KindPlaceExtremes     = "place.extremes"
	KindPlaceUsual        = "place.usual"
	KindPlaceSensed       = "place.sensed"
	KindStockKnown        = "stock.known"
	KindStockChanged      = "stock.changed"
	KindStockBought       = "stock.bought"
	KindStockUsed         = "stock.used"
	KindStockCounted      = "stock.counted"
	KindStockThrown       = "stock.thrown"
	KindSumsSet           = "sums.set"
	KindDesignKept        = "design.kept"
	KindDesignTried       = "design.tried"
	KindDeviceJoined      = "device.joined"
	KindDeviceNamed       = "device.named"
	KindDeviceRevoked     = "device.revoked"
	KindCalendarOpened    = "calendar.opened"
	KindShareOpened       = "share.opened"
	KindHelperJoined      = "share.joined"
	KindShareClosed       = "share.closed"
)

// Kinds is the table of all kinds of fact, in the order of the job. A kind is one row
// here, one entry in the table of package batch that applies it (where Effect is
// EffectChanges) and one function in the table that writes its line of the history. Kinds
// that no screen writes yet have a row too, so that their names and bodies are fixed.
var Kinds = []Kind{
	{KindFactWithdrawn, 1, 1, "batch place shelf designs house", EntityAny, EffectChanges, "undone", "an earlier fact no longer counts: undo", bodyOf[FactTarget]()},
	{KindFactRestored, 1, 1, "batch place shelf designs house", EntityAny, EffectChanges, "restored", "a withdrawn fact counts again: redo", bodyOf[FactTarget]()},
	{KindClockMeasured, 1, 1, "batch place", EntityAny, EffectChanges, "clock compared with the hub's", "how far the writer's clock is from the hub's", bodyOf[ClockMeasured]()},

	{KindBatchStarted, 1, 1, "batch", EntityBatch, EffectBegins, "batch started", "a batch begins; the subject is the batch", bodyOf[BatchStarted]()},
	{KindBatchChanged, 1, 1, "batch", EntityBatch, EffectSets, "batch changed", "its name, note or day changed", bodyOf[BatchChanged]()},
	{KindBatchFinished, 1, 1, "batch", EntityBatch, EffectChanges, "batch finished", "all of it is dry and folded", bodyOf[NoteBody]()},
	{KindBatchRepeated, 1, 1, "batch", EntityBatch, EffectChanges, "repeats an earlier batch", "it repeats an earlier batch, scaled", bodyOf[BatchRepeated]()},
	{KindBatchForgotten, 1, 1, "house", EntityBatch, EffectChanges, "batch removed for good", "the batch of that id was removed for good; a tombstone", bodyOf[NoteBody]()},
	{KindNumbersLeased, 1, 1, "batch", EntityBatch, EffectChanges, "bag numbers given to a phone", "the hub gives a phone a block of bag numbers", bodyOf[NumbersLeased]()},

	{KindPieceAdded, 1, 1, "batch", EntityPiece, EffectBegins, "pieces added", "pieces of one kind join the batch", bodyOf[PieceAdded]()},
	{KindPieceChanged, 1, 1, "batch", EntityPiece, EffectSets, "pieces changed", "a property of the pieces changed", bodyOf[PieceChanged]()},
	{KindPieceSplit, 1, 4, "batch", EntityPiece, EffectChanges, "pieces split off", "some of the pieces become a line of their own", bodyOf[PieceSplit]()},
	{KindPieceRemoved, 1, 4, "batch", EntityPiece, EffectChanges, "pieces removed", "the pieces that are in no bag leave the batch", bodyOf[NoteBody]()},
	{KindPieceScoured, 1, 1, "batch", EntityPiece, EffectChanges, "washed before dyeing", "finish and softener were washed out", bodyOf[PieceScoured]()},
	{KindPieceDesigned, 1, 1, "batch", EntityPiece, EffectChanges, "design chosen", "the design by which the pieces are folded and dyed", bodyOf[PieceDesigned]()},
	{KindPieceTied, 1, 1, "batch", EntityPiece, EffectChanges, "folded and bound", "the piece was folded and bound", bodyOf[PieceTied]()},
	{KindPieceTaken, 1, 1, "batch", EntityPiece, EffectChanges, "taken to dye", "the writer's phone has some of the pieces in hand", bodyOf[PieceTaken]()},
	{KindPieceDyed, 1, 1, "batch", EntityPiece, EffectChanges, "dye put on", "dye was put on the piece", bodyOf[PieceDyed]()},
	{KindPieceTagged, 1, 1, "batch", EntityPiece, EffectChanges, "tags of pieces printed", "numbered tags of the pieces were printed", bodyOf[LabelNumberRange]()},
	{KindPiecePhotographed, 1, 1, "batch", EntityPiece, EffectChanges, "photo", "a photo of the piece, by content hash", bodyOf[PiecePhotographed]()},

	{KindColourChosen, 1, 1, "batch", EntityColour, EffectBegins, "colour chosen", "a colour of the batch", bodyOf[ColourChosen]()},
	{KindColourChanged, 1, 1, "batch", EntityColour, EffectSets, "colour changed", "a property of the colour changed", bodyOf[ColourChanged]()},
	{KindColourRemoved, 1, 4, "batch", EntityColour, EffectChanges, "colour removed", "the colour leaves the batch, unless a jug or a bag has it", bodyOf[NoteBody]()},

	{KindPowderOpened, 1, 1, "batch", EntityBatch, EffectChanges, "powder opened", "dye powder is open: others keep out", bodyOf[NoteBody]()},
	{KindPowderClosed, 1, 1, "batch", EntityBatch, EffectChanges, "powder closed", "the powder is closed and wiped up", bodyOf[NoteBody]()},

	{KindSoakMixed, 1, 1, "batch", EntitySoak, EffectBegins, "soak mixed", "soda ash was dissolved for the soak", bodyOf[SoakMixed]()},
	{KindSoakDissolved, 1, 1, "batch", EntitySoak, EffectChanges, "soda ash dissolved", "somebody looked whether all of it is dissolved", bodyOf[SoakDissolved]()},
	{KindSoakTopped, 1, 1, "batch", EntitySoak, EffectChanges, "soak topped up", "bath of the same strength was added", bodyOf[SoakMixed]()},
	{KindSoakChecked, 1, 1, "batch", EntitySoak, EffectChanges, "soak checked", "the pH of the bath was measured", bodyOf[SoakChecked]()},
	{KindSoakBegun, 1, 1, "batch", EntitySoak, EffectChanges, "pieces in the soak", "pieces went into the bath", bodyOf[SoakPieces]()},
	{KindSoakEnded, 1, 1, "batch", EntitySoak, EffectChanges, "pieces out of the soak", "pieces came out, wrung", bodyOf[SoakPieces]()},
	{KindSoakDiscarded, 1, 1, "batch", EntitySoak, EffectChanges, "soak poured away", "the bath was poured away", bodyOf[NoteBody]()},

	{KindJugMixed, 1, 1, "batch", EntityJug, EffectBegins, "jug mixed", "powder was made up to a volume", bodyOf[JugMixed]()},
	{KindJugThinned, 1, 1, "batch", EntityJug, EffectChanges, "jug thinned", "the jug was made up to more", bodyOf[JugThinned]()},
	{KindJugTopped, 1, 4, "batch", EntityJug, EffectChanges, "jug topped up", "powder, dye or water was added to the jug", bodyOf[JugTopped]()},
	{KindJugActivated, 1, 1, "batch", EntityJug, EffectChanges, "soda ash added to the jug", "soda ash went into the dye, which loses its strength within hours", bodyOf[JugActivated]()},
	{KindJugDiscarded, 1, 1, "batch", EntityJug, EffectChanges, "jug poured away", "what was left was poured away", bodyOf[NoteBody]()},
	{KindBottleFilled, 1, 1, "batch", EntityAny, EffectChanges, "bottle filled", "a bottle was filled from a jug", bodyOf[BottleFilled]()},

	{KindBlanksPrinted, 1, 1, "batch", EntityPrinting, EffectChanges, "numbered blanks printed", "numbered blanks were printed; the subject is the printing", bodyOf[LabelNumberRange]()},
	{KindBagClosed, 1, 1, "batch", EntityBag, EffectBegins, "bag closed", "wet dyed pieces were bagged: the cure begins", bodyOf[BagClosed]()},
	{KindBagChanged, 1, 1, "batch", EntityBag, EffectSets, "bag changed", "a property of the bag changed", bodyOf[BagChanged]()},
	{KindBagMoved, 1, 1, "batch", EntityBag, EffectChanges, "moved", "the bag was moved to another place", bodyOf[BagMoved]()},
	{KindBagLooked, 1, 1, "batch", EntityBag, EffectChanges, "opened for a look", "opened for a look and closed again", bodyOf[BagLooked]()},
	{KindBagDyed, 1, 1, "batch", EntityBag, EffectChanges, "dye added", "dye was added to what is in the bag", bodyOf[BagDyed]()},
	{KindBagDried, 1, 1, "batch", EntityBag, EffectChanges, "found dry", "a piece in the bag had gone dry", bodyOf[BagFoundDry]()},
	{KindBagWeighed, 1, 1, "batch", EntityBag, EffectChanges, "weighed", "what is in the bag was weighed, wet", bodyOf[BagWeighed]()},
	{KindBagSplit, 1, 1, "batch", EntityBag, EffectChanges, "split", "pieces were moved to another bag", bodyOf[BagSplit]()},
	{KindBagBound, 1, 1, "batch", EntityBag, EffectChanges, "numbered blank attached", "a numbered blank was tied to the bag", bodyOf[BagBound]()},
	{KindBagPrinted, 1, 1, "batch", EntityBag, EffectChanges, "label printed", "a label of the bag was printed", bodyOf[BagPrinted]()},
	{KindBagOpened, 1, 1, "batch", EntityBag, EffectChanges, "opened", "unwrapped: the cure ends", bodyOf[BagOpened]()},
	{KindBagRinsed, 1, 1, "batch", EntityBag, EffectChanges, "rinsed", "rinsed until it ran clear", bodyOf[BagRinsed]()},
	{KindBagDone, 1, 1, "batch", EntityBag, EffectChanges, "washed and dry", "washed and dry", bodyOf[BagDone]()},

	{KindRinseDone, 1, 1, "batch", EntityBatch, EffectChanges, "rinse bath", "one bath of the rinse", bodyOf[RinseDone]()},
	{KindRagTested, 1, 1, "batch", EntityBag, EffectChanges, "white rag test", "a white rag was pressed on it", bodyOf[RagTested]()},
	{KindWashDone, 1, 1, "batch", EntityBatch, EffectChanges, "machine wash", "washed by machine", bodyOf[WashDone]()},

	{KindResultRated, 1, 1, "batch", EntityAny, EffectChanges, "rated", "how it came out", bodyOf[ResultRated]()},
	{KindResultMeasured, 1, 1, "batch", EntityAny, EffectRemarks, "colours measured", "colours measured before and after", bodyOf[ResultMeasured]()},
	{KindColourRead, 1, 1, "batch", EntityAny, EffectChanges, "colour read", "the colour in a photo, against a white card", bodyOf[ColourRead]()},
	{KindCostSet, 1, 1, "batch shelf", EntityAny, EffectRemarks, "cost", "what something cost", bodyOf[CostSet]()},

	{KindPlaceNamed, 1, 1, "place", EntityPlace, EffectChanges, "place named", "a place where bags stand", bodyOf[PlaceNamed]()},
	{KindPlaceRead, 1, 1, "place", EntityPlace, EffectChanges, "temperature", "a temperature there", bodyOf[TemperatureReading]()},
	{KindPlaceExtremes, 1, 1, "place", EntityPlace, EffectChanges, "lowest and highest", "what a thermometer with a memory showed since it was last reset", bodyOf[PlaceExtremes]()},
	{KindPlaceUsual, 1, 1, "place", EntityPlace, EffectChanges, "usual night and day", "its usual night and day", bodyOf[UsualTemperatures]()},
	{KindPlaceSensed, 1, 1, "place", EntityPlace, EffectChanges, "sensor", "a sensor reports there", bodyOf[SensorAdded]()},

	{KindStockKnown, 1, 1, "shelf", EntityStock, EffectBegins, "on the shelf", "a powder, soda ash, bottles, bags or a scale in the house", bodyOf[StockDescribed]()},
	{KindStockChanged, 1, 1, "shelf", EntityStock, EffectSets, "changed", "a property of it is another, or it is gone", bodyOf[StockChanged]()},
	{KindStockBought, 1, 1, "shelf", EntityStock, EffectChanges, "bought", "more of it came in", bodyOf[StockMoved]()},
	{KindStockUsed, 1, 1, "shelf", EntityStock, EffectChanges, "used", "some was used", bodyOf[StockMoved]()},
	{KindStockCounted, 1, 1, "shelf", EntityStock, EffectChanges, "counted", "the stock was weighed or counted", bodyOf[StockMoved]()},
	{KindStockThrown, 1, 1, "shelf", EntityStock, EffectChanges, "thrown away", "some was thrown away", bodyOf[StockMoved]()},
	{KindSumsSet, 1, 1, "shelf", EntityAny, EffectSets, "sums", "currency, wage, margin and the water's hardness", bodyOf[SumsSet]()},

	{KindDesignKept, 1, 1, "designs", EntityDesign, EffectChanges, "design saved", "a design to use again", bodyOf[DesignKept]()},
	{KindDesignTried, 1, 1, "designs", EntityDesign, EffectChanges, "result of a design", "how a piece of a design came out", bodyOf[DesignTried]()},

	{KindDeviceJoined, 1, 1, "house", EntityPhone, EffectChanges, "a phone joined", "a phone joined the house", bodyOf[DeviceJoined]()},
	{KindDeviceNamed, 1, 1, "house", EntityPhone, EffectChanges, "phone renamed", "a phone got a new name", bodyOf[DeviceNamed]()},
	{KindDeviceRevoked, 1, 1, "house", EntityPhone, EffectChanges, "phone removed", "a phone lost its access", bodyOf[NoteBody]()},
	{KindCalendarOpened, 1, 1, "house", EntityCalendar, EffectChanges, "calendar opened", "whoever holds its address reads when bags are ready", bodyOf[CalendarOpened]()},
	{KindShareOpened, 1, 1, "batch", EntityBatch, EffectChanges, "sharing started", "helpers may join with a code", bodyOf[ShareOpened]()},
	{KindHelperJoined, 1, 1, "batch", EntityPhone, EffectChanges, "a helper joined", "a helper's phone joined", bodyOf[DeviceNamed]()},
	{KindShareClosed, 1, 1, "batch", EntityBatch, EffectChanges, "sharing ended: all helpers removed", "the sharing ended", bodyOf[NoteBody]()},
}
