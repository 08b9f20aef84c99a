// Looks up the bag of a scanned label: in this phone's journal, at the hub, or on the
// label itself.
import { call } from '../core/core.js';
import { coreEnv } from '../journal/env.js';
import { findByToken } from '../journal/find.js';
import { loadState } from '../journal/states.js';

// lookUpLabel says how the bag of a label stands: {bag, from, batch?, id?}. from is
// "phone" where the bag is in this phone's journal, "hub" where the hub knew it,
// "label" where only the code itself could be asked, as printed. The hub is asked
// where hub says so. blank is a numbered blank that no bag is known of; batch then
// names the batch that it was printed for, where this phone knows that. With tag it
// is the tag of a piece, what the piece in words, and bags the bags that it may be in
// where there are several.
export async function lookUpLabel(address, { hub = true } = {}) {
  const shown = await call('label.view', { address, env: await coreEnv() });
  const mine = await findByToken(shown.token);
  if (mine && !mine.bag)
    return {
      from: 'label',
      batch: mine.batch,
      bag: shown.bag,
      token: shown.token,
      blank: true,
      tag: shown.tag,
      what: mine.what,
    };
  if (mine) {
    const s = await loadState(`batch/${mine.batch}`);
    const e = await coreEnv();
    if (mine.bags) {
      const bags = await Promise.all(mine.bags.map((bag) => call('bag.view', { state: s, bag, env: e })));
      return {
        from: 'label',
        batch: mine.batch,
        bag: shown.bag,
        token: shown.token,
        blank: true,
        tag: true,
        what: mine.what,
        bags,
      };
    }
    return {
      from: 'phone',
      batch: mine.batch,
      id: mine.bag,
      bag: await call('bag.view', { state: s, bag: /** @type {string} */ (mine.bag), env: e }),
    };
  }
  const known = hub && (await fetchHubBag(String(shown.bag.code)));
  return known
    ? { from: 'hub', bag: known, token: shown.token }
    : { from: 'label', bag: shown.bag, token: shown.token, blank: shown.blank, tag: shown.tag };
}

// fetchHubBag gives the hub's view of the bag of a label's code, or null.
async function fetchHubBag(code) {
  try {
    const answer = await fetch(`/api/v1/bag/${encodeURIComponent(code)}`, { signal: AbortSignal.timeout(4000) });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null; // not reached: the label has the rest
  }
}
