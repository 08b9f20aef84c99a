// Looks up the bag of a scanned label: in this phone's journal, at the hub, or on the
// label itself.
import { call } from '../core/core.js';
import { coreEnv } from '../journal/env.js';
import { findByToken } from '../journal/find.js';
import { loadState } from '../journal/states.js';

// lookUpLabel returns the state of a label's bag: {bag, from, batch?, id?}. from is "phone" if the
// bag is in this phone's journal, "hub" if only the hub knows it, or "label" if there is only the
// label's own data, as printed. With hub false it does not ask the hub. blank says that the label
// is a numbered blank on no known bag; batch is then the batch that it was printed for, if this
// phone knows that. tag says that it is the tag of a piece; what is the piece in words, and bags
// are the bags that it may be in if there are several.
export async function lookUpLabel(address, { hub = true } = {}) {
  const label = await call('label.view', { address, env: await coreEnv() });
  const localBag = await findByToken(label.token);
  if (localBag && !localBag.bag)
    return {
      from: 'label',
      batch: localBag.batch,
      bag: label.bag,
      token: label.token,
      blank: true,
      tag: label.tag,
      what: localBag.what,
    };
  if (localBag) {
    const state = await loadState(`batch/${localBag.batch}`);
    const env = await coreEnv();
    if (localBag.bags) {
      const bags = await Promise.all(localBag.bags.map((bag) => call('bag.view', { state, bag, env })));
      return {
        from: 'label',
        batch: localBag.batch,
        bag: label.bag,
        token: label.token,
        blank: true,
        tag: true,
        what: localBag.what,
        bags,
      };
    }
    return {
      from: 'phone',
      batch: localBag.batch,
      id: localBag.bag,
      bag: await call('bag.view', { state, bag: /** @type {string} */ (localBag.bag), env }),
    };
  }
  const hubView = hub && (await fetchHubBag(String(label.bag.code)));
  return hubView
    ? { from: 'hub', bag: hubView, token: label.token }
    : { from: 'label', bag: label.bag, token: label.token, blank: label.blank, tag: label.tag };
}

// fetchHubBag returns the hub's view of the bag of a label's code, or null.
async function fetchHubBag(code) {
  try {
    const answer = await fetch(`/api/v1/bag/${encodeURIComponent(code)}`, { signal: AbortSignal.timeout(4000) });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null; // out of reach: the label has its own data
  }
}
