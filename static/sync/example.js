// The invented example: a journal of its own under a banner, never exchanged,
// gone in one tap.
import { call } from '../core/core.js';
import { hubNow } from '../journal/clock.js';
import { switchJournal, meta } from '../journal/db.js';
import { exampleMode } from '../device/example-mode.js';
import { asFault } from '../core/fault.js';
import { requestHub } from './hub-client.js';
import { importFacts } from '../journal/journal.js';
import { showToast } from '../device/toast.js';
import { zoneName } from '../core/zone.js';

// openExample shows it; the person's own journal stays as it is.
export const openExample = () => switchJournal('here');

// closeExample throws it away, on the hub too where that shows it.
export async function closeExample() {
  try {
    if (exampleMode === 'hub') await requestHub('example', null, 'DELETE');
    await switchJournal('');
  } catch (err) {
    showToast(asFault(err).message);
  }
}

// fillExample makes its facts at the first look.
export async function fillExample() {
  const { device } = await meta.get('device');
  if (!exampleMode || device) return;
  const { facts, device: writer } = await call('example.facts', { now: await hubNow(), tz: zoneName() });
  await importFacts(facts, { values: { device: writer } });
}

// followHubExample goes into the example that the hub shows, and out again when it shows
// the real journal.
export async function followHubExample(hubShows) {
  if (hubShows && !exampleMode) await switchJournal('hub');
  if (!hubShows && exampleMode === 'hub') await switchJournal('');
}
