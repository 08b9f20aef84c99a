// What a design can be made of: garments, folds, and designs to start from.
import { callExtra } from '../core/extra.js';
/** @import { ExtraCalls } from '../dist/calls.d.ts' */

/** @type {Promise<ExtraCalls['fold.choices']['result']> | null} */
let choicesPromise = null;

// foldChoices returns what there is to choose from. It never changes while the app runs.
export const foldChoices = () =>
  (choicesPromise ??= callExtra('fold.choices', {}).catch((err) => {
    choicesPromise = null;
    throw err;
  }));
