// The invented example: a journal of its own under a banner, never exchanged,
// gone in one tap.
import { call } from '../core/core.js';
import { now } from '../journal/clock.js';
import { goTo, meta } from '../journal/db.js';
import { inExample } from '../device/example-mode.js';
import { told } from '../core/fault.js';
import { ask } from './hub-client.js';
import { learn } from '../journal/journal.js';
import { say } from '../device/toast.js';
import { zoneName } from '../core/zone.js';

// openExample shows it; the person's own journal stays as it is.
export const openExample = () => goTo('here');

// leaveExample throws it away, on the hub too where that shows it.
export async function leaveExample() {
  try {
    if (inExample === 'hub') await ask('example', null, 'DELETE');
    await goTo('');
  } catch (err) {
    say(told(err).message);
  }
}

// fillExample makes its facts at the first look.
export async function fillExample() {
  const { device } = await meta.get('device');
  if (!inExample || device) return;
  const { facts, device: writer } = await call('example.facts', { now: await now(), tz: zoneName() });
  await learn(facts, { values: { device: writer } });
}

// follow goes into the example that the hub shows, and out again when it shows
// the real journal.
export async function follow(hubShows) {
  if (hubShows && !inExample) await goTo('hub');
  if (!hubShows && inExample === 'hub') await goTo('');
}
