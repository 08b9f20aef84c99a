// The screens by the names that the router gives them.
import { Today } from './today.js';
import { Batches } from './batches.js';
import { Batch } from './batch.js';
import { Pieces } from './pieces.js';
import { Colours } from './colours.js';
import { Soak } from './soak.js';
import { Jugs } from './jugs.js';
import { Bagging } from './bagging.js';
import { PrintLabels } from './print-labels.js';
import { History } from './history.js';
import { Bag } from './bag.js';
import { ScannedLabel } from './scanned-label.js';
import { Scan } from './scan.js';
import { ShelfCheck } from './shelf-check.js';
import { Sums } from './sums.js';
import { Sum } from './sum.js';
import { Shelf } from './shelf.js';
import { Place } from './place.js';
import { Phone } from './phone.js';
import { Phones } from './phones.js';
import { Join } from './join.js';
import { Share } from './share.js';
import { SelfCheck } from './self-check.js';
import { NotFound } from './not-found.js';

export const screens = {
  today: Today,
  batches: Batches,
  batch: Batch,
  pieces: Pieces,
  colours: Colours,
  soak: Soak,
  jugs: Jugs,
  bagging: Bagging,
  labels: PrintLabels,
  history: History,
  bag: Bag,
  label: ScannedLabel,
  scan: Scan,
  shelfCheck: ShelfCheck,
  sums: Sums,
  sum: Sum,
  shelf: Shelf,
  place: Place,
  phone: Phone,
  phones: Phones,
  join: Join,
  share: Share,
  check: SelfCheck,
  missing: NotFound,
};
