// The bags seen while the shelf is checked: each once, however often it was
// scanned. The list stays when the app is closed, until it is cleared.
import { signal } from '@preact/signals';
import { inExample } from '../device/example-mode.js';
import { lookUp } from './look-up.js';
import { hub } from '../sync/hub-state.js';

const place = inExample ? 'coldbatch.shelf.example' : 'coldbatch.shelf';

// tally is the rows, the last one first: {key, code, found}; found is what lookUp
// gave, null until it did. A bag is told by its own key where this phone knows it,
// for it may have had two labels.
export const tally = signal(kept().map((row) => ({ ...row, found: null })));

function kept() {
  try {
    return JSON.parse(localStorage.getItem(place)) || [];
  } catch {
    return [];
  }
}

function put(rows) {
  tally.value = rows;
  try {
    localStorage.setItem(place, JSON.stringify(rows.map(({ key, code }) => ({ key, code }))));
  } catch {
    /* it holds until the app is closed */
  }
}

// add takes a label's code and says whether its bag is new to the list. A bag that
// was there comes first again.
export async function add(code) {
  const found = await lookUp(code, { hub: false });
  const key = found.id || found.token;
  const old = tally.value.find((row) => row.key === key);
  put([
    { key, code, found: old?.found?.from === 'hub' ? old.found : found },
    ...tally.value.filter((row) => row.key !== key),
  ]);
  if (found.from === 'label' && hub.value.ok) renew(key).catch(console.error);
  return !old;
}

// look works out anew how all of them stand.
export async function look() {
  await Promise.all(tally.value.map((row) => renew(row.key)));
}

async function renew(key) {
  const row = tally.value.find((r) => r.key === key);
  if (!row) return; // cleared meanwhile
  const found = await lookUp(row.code, { hub: hub.value.ok });
  tally.value = tally.value.map((r) => (r.key === key ? { ...r, found } : r));
}

// clear empties the list and gives what puts it back.
export function clear() {
  const rows = tally.value;
  put([]);
  return () => put([...tally.value, ...rows.filter((row) => !tally.value.some((now) => now.key === row.key))]);
}

// standing sorts a bag: "ready", "not yet", "opened", or "unknown" where no time can
// be given.
export function standing({ bag, blank }) {
  if (blank) return 'unknown';
  return bag.stage === 'cure' ? sorts[bag.verdict] || 'unknown' : 'opened';
}

const sorts = {
  'keep-wet': 'not yet',
  slow: 'not yet',
  frozen: 'not yet',
  dry: 'not yet',
  'probably-ready': 'ready',
  ready: 'ready',
  past: 'ready',
};
