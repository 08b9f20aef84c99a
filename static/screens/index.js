// Every screen of the app with its path. A new screen is one file and one line here: the
// router and the test of all screens read this table. A part of a path that begins with a
// colon is a parameter, which the screen gets as a property of that name; :id, :batch and
// :bag are ids of the journal.
import { Again } from './again.js';
import { Bag } from './bag.js';
import { Bagging } from './bagging.js';
import { Batch } from './batch.js';
import { BatchSheet } from './batch-sheet.js';
import { Batches } from './batches.js';
import { Calendars } from './calendars.js';
import { CareCard } from './care-card.js';
import { Colours } from './colours.js';
import { Compare, CompareBag } from './compare.js';
import { Designs } from './designs.js';
import { SavedFold, PieceFold, SharedFold, StartFold } from './fold.js';
import { History } from './history.js';
import { Join } from './join.js';
import { Jugs } from './jugs.js';
import { ManyBags } from './many-bags.js';
import { Phone } from './phone.js';
import { Phones } from './phones.js';
import { Pieces } from './pieces.js';
import { Place } from './place.js';
import { Plan } from './plan.js';
import { PrintLabels } from './print-labels.js';
import { Result } from './result.js';
import { Results } from './results.js';
import { Scan } from './scan.js';
import { ScannedLabel } from './scanned-label.js';
import { SelfCheck } from './self-check.js';
import { Share } from './share.js';
import { Shelf } from './shelf.js';
import { ShelfCheck } from './shelf-check.js';
import { Soak } from './soak.js';
import { Squeeze } from './squeeze.js';
import { Stock } from './stock.js';
import { Sum } from './sum.js';
import { Sums } from './sums.js';
import { Today } from './today.js';
import { Wash } from './wash.js';
import { Why } from './why.js';

export { NotFound } from './not-found.js'; // for every other path

export const routes = [
  ['/', Today],
  ['/today', Today],
  ['/batches', Batches],
  ['/results', Results],
  ['/batch/:id', Batch],
  ['/batch/:id/plan', Plan],
  ['/batch/:id/pieces', Pieces],
  ['/batch/:batch/fold/:piece', PieceFold],
  ['/batch/:id/colours', Colours],
  ['/batch/:id/soak', Soak],
  ['/batch/:id/jugs', Jugs],
  ['/batch/:id/bagging', Bagging],
  ['/batch/:id/labels', PrintLabels],
  ['/batch/:id/sheet', BatchSheet],
  ['/batch/:id/again', Again],
  ['/batch/:id/compare', Compare],
  ['/batch/:id/history', History],
  ['/batch/:id/share', Share],
  ['/bag/:batch/:bag', Bag],
  ['/bags', ManyBags],
  ['/bag/:batch/:bag/result', Result],
  ['/bag/:batch/:bag/compare', CompareBag],
  ['/bag/:batch/:bag/card', CareCard],
  ['/bag/:batch/:bag/why', Why],
  ['/b/:code', ScannedLabel],
  ['/scan', Scan],
  ['/scan/shelf', ShelfCheck],
  ['/wash', Wash],
  ['/sums', Sums],
  ['/sums/:name', Sum],
  ['/shelf', Shelf],
  ['/squeeze', Squeeze],
  ['/stock/:id', Stock],
  ['/fold', Designs],
  ['/fold/start/:name', StartFold],
  ['/fold/design/:id', SavedFold],
  ['/fold/code/:code', SharedFold],
  ['/place/:id', Place],
  ['/phone', Phone],
  ['/phones', Phones],
  ['/calendars', Calendars],
  ['/check', SelfCheck],
  ['/join', Join],
  ['/join/:code', Join],
];
