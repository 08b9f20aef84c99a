// Finds a bag by what is on its label: the code, the number, or the id to type.
import { call } from '../core/core.js';
import { loadBatches, loadState, batchesWithToken } from './states.js';
import { coreEnv } from './env.js';

// findByToken returns {batch, bag} of the bag whose label carries that token (hex), or
// {batch, blank} of a numbered blank that is on no bag yet, or null. The tag of a
// piece returns {piece, what} too, no bag before the piece is in one, and bags where
// pieces of one entry lie in several.
export async function findByToken(token) {
  for (const s of await batchesWithToken(token)) {
    const found = await call('label.find', { state: s, token });
    if (found.bag || found.blank || found.piece) return { batch: s.id, ...found };
  }
  return null;
}

// findTyped returns what a person typed from a label: {bags, blanks}, the bags with that
// number ("8", "8H") or id, else the numbered blanks and the tags of pieces that have
// it. Open batches come first. A typing error in an id is a Fault.
export async function findTyped(typed) {
  const env = await coreEnv();
  const open = await call('labels.findTyped', { states: await loadBatches('open'), env, typed });
  if (open.bags.length) return open;
  const { bags } = await call('labels.findTyped', { states: await loadBatches('all'), env, typed });
  return { ...open, bags };
}

// findBlank returns the free numbered blank of a batch, {number, letter, token}, by
// its number, its id, or its code; anything else is a Fault that says why.
export const findBlank = async (batch, typed) =>
  call('blank.find', { state: await loadState(`batch/${batch}`), blank: typed });
