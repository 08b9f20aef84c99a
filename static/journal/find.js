// Finds a bag by what is on its label: the code, the number, or the id to type.
import { call } from '../core/core.js';
import { loadBatches, loadState, batchesWithToken } from './states.js';
import { coreEnv } from './env.js';

// findByToken gives {batch, bag} of the bag whose label carries that token (hex), or
// {batch, blank} of a numbered blank that is on no bag yet, or null. The tag of a
// piece gives {piece, what} too, no bag before the piece is in one, and bags where
// pieces of one entry lie in several.
export async function findByToken(token) {
  for (const s of await batchesWithToken(token)) {
    const found = await call('bag.find', { state: s, token });
    if (found.bag || found.blank || found.piece) return { batch: s.id, ...found };
  }
  return null;
}

// findByNumber gives the bags that bear a number ("8", "8H"), on their label or on a
// blank that is tied to them, as {batch, bag, number, batchName}: those of open
// batches, else of all.
export async function findByNumber(typed) {
  const want = typed.replace(/\s/g, '').toUpperCase();
  const open = bagsWithNumber(await loadBatches('open'), want);
  return open.length ? open : bagsWithNumber(await loadBatches('all'), want);
}

function bagsWithNumber(states, want) {
  const has = (x) => `${x.number}${x.letter || ''}` === want;
  return states.flatMap((s) => {
    const bags = [...s.bags.filter(has).map((b) => b.id), ...s.blanks.filter((x) => x.bag && has(x)).map((x) => x.bag)];
    return [...new Set(bags)].map((bag) => ({ batch: s.id, bag, number: want, batchName: s.name }));
  });
}

// findById gives {batch, bag} of the bag with that id, as typed from a label or from a
// blank that is tied to it, null where it is not on this phone; a slip of the finger
// is a Fault.
export async function findById(typed) {
  const { id } = await call('label.id', { typed });
  for (const s of await loadBatches('all')) {
    const { bag } = await call('bag.find', { state: s, typed: id });
    if (bag) return { batch: s.id, bag };
  }
  return null;
}

// findUnattachedLabels gives {code, batchName} of the numbered blanks and the tags of pieces of
// open batches that bear a number or an id, for a label that no bag is found by.
export async function findUnattachedLabels(typed) {
  const want = typed.replace(/\s/g, '').toUpperCase(),
    e = await coreEnv(),
    found = [];
  for (const s of await loadBatches('open')) {
    for (const tags of [false, true]) {
      const list = await call('batch.blanks', { state: s, env: e, tags });
      found.push(
        ...list
          .filter((b) => b.number === want || b.typed.replaceAll('-', '') === want.replaceAll('-', ''))
          .map((b) => ({ code: b.code, number: b.number, batchName: s.name })),
      );
    }
  }
  return found;
}

// findBlank gives the free numbered blank of a batch, {number, letter, token}, by
// its number, its id, or its code; anything else is a Fault that says why.
export const findBlank = async (batch, typed) =>
  call('blank.find', { state: await loadState(`batch/${batch}`), blank: typed });
