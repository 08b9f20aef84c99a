// One round of syncing: identify the hub, measure its clock and get this phone's role; then push
// and pull until neither side has more.
import { maxFacts, maxQuarantined } from '../dist/constants.js';
import { call } from '../core/core.js';
import { announceChange } from '../journal/changes.js';
import { clockOffset, loadMeasurement, saveMeasurement } from '../journal/clock.js';
import { exampleMode } from '../device/example-mode.js';
import { addressKind } from '../device/origin.js';
import { meta } from '../journal/db.js';
import { Fault, hasCode } from '../core/fault.js';
import { countFacts, countRefused, countUnsent } from '../journal/facts.js';
import { applyAnswer, factsById, markAllUnsent, unsentFacts } from '../journal/facts.js';
import { requestHub } from './hub-client.js';
import { deviceId, zeroStamp, record } from '../journal/journal.js';
import { markPhotosUnsent } from './photos.js';
import { defaultDeviceName } from '../device/settings.js';
import { loadBatches, refreshStates } from '../journal/states.js';
import { withLock } from '../device/lock.js';

/** @import { FactDraft } from '../dist/calls.d.ts' */

const announceInterval = 1500; // ms between announcements of new facts while more are coming
const maxClockDelay = 5e3; // ms that an answer may take if it is to measure the clock

// loadHubState returns what this phone knows of the hub, without asking it.
export async function loadHubState() {
  const { hub, reached, other, unknown, example, you, was, held, network } = await meta.get(
    'hub',
    'reached',
    'other',
    'unknown',
    'example',
    'you',
    'was',
    'held',
    'network',
  );
  await loadMeasurement();
  return {
    name: hub?.name || '',
    id: hub?.id || '',
    host: hub?.host || '',
    reachedAt: reached || 0,
    previousHubId: other || '',
    unknownHubId: unknown || '',
    network: network || null,
    role: you?.role || '',
    isHelper: Boolean(you?.helps),
    wasPaired: Boolean(was),
    quarantineMessage: held?.says || '',
    example: Boolean(example),
    clockOffset: clockOffset.value,
    ...(exampleMode
      ? { unsentCount: 0, refusedCount: 0 }
      : { unsentCount: await countUnsent(), refusedCount: await countRefused() }),
  };
}

// numbersNeeded says how many bag numbers this phone needs for printing blanks, by the batch's id.
export const numbersNeeded = {};

// isCaughtUp says whether this phone has received everything that the hub had. Only then does it
// know which batches are open, and request bag numbers for them.
let isCaughtUp = false;

// runSyncRound exchanges everything and returns what is then known of the hub. It throws
// a Fault where the hub cannot be reached.
export async function runSyncRound() {
  await withLock('coldbatch-exchange', async () => {
    const { about, role } = await identifyHub();
    if (exampleMode || about.example || role === 'stranger' || role === 'unknown') return;
    await recordClockCorrections();
    if (role === 'out') return sendToQuarantine();
    let newCount = 0;
    try {
      newCount = await exchangeAll();
    } catch (err) {
      // the phone may have been removed since it asked for its role
      if (!hasCode(err, 'refused') || (await identifyHub()).role !== 'out') throw err;
      return sendToQuarantine();
    }
    await requestLetter(); // the house is known now, so a phone that had a letter keeps it, also at a new hub
    if (newCount) await refreshStates();
  });
  return loadHubState();
}

// exchangeAll exchanges until neither side has more, and returns how many facts were new. While many come, the
// screens hear of them only now and then: to draw each again takes as long as to fetch the next.
async function exchangeAll() {
  let newCount = 0;
  let unannounced = 0;
  let announcedAt = performance.now();
  const announce = () => {
    if (unannounced) announceChange();
    unannounced = 0;
    announcedAt = performance.now();
  };
  try {
    for (let more = true; more; ) {
      const result = await exchangeOnce();
      newCount += result.newCount;
      unannounced += result.newCount;
      more = result.more;
      if (performance.now() > announcedAt + announceInterval) announce();
    }
  } finally {
    announce();
  }
  return newCount;
}

// identifyHub asks for the hub's identity and this phone's role. If it is a different hub,
// everything is sent again, and the previous hub's id is remembered. The role is "unknown" while the
// person is asked whether the two journals belong together.
async function identifyHub() {
  const { about, answeredAt } = await requestAbout();
  const role = about.you.out ? 'out' : about.you.role;
  const { hub, zone, you: previous, accepted } = await meta.get('hub', 'zone', 'you', 'accepted');
  const isOther = !exampleMode && !about.example && hub && hub.id !== about.hub.id;
  if (isOther && accepted !== about.hub.id && (await mustAskFirst())) {
    await meta.set({ reached: answeredAt, unknown: about.hub.id });
    return { about, role: 'unknown' };
  }
  const values = {
    hub: about.hub,
    unknown: '',
    reached: answeredAt,
    example: about.example,
    zone: about.example ? zone : about.zone,
    network: about.network,
  };
  if (about.example && !exampleMode) delete values.hub;
  if (!about.example) values.you = { role, helps: role === 'helper' || (!isMember(role) && Boolean(previous?.helps)) };
  if (!about.example && isMember(role)) Object.assign(values, { was: true, held: null });
  if (isOther) await resendEverything({ ...values, cursor: null, letter: '', other: hub.id });
  else await meta.set(values);
  return { about, role };
}

// mustAskFirst says whether the person is asked before this phone's journal and a different hub's are put together:
// on the program's own computer, which needs no pairing, a program on another folder answers at the same address.
const mustAskFirst = async () => addressKind(null) === 'computer' && (await countFacts()) > 0;

// requestAbout asks the hub for its identity and measures its clock. No fact is sent before that,
// because facts that were written by a wrong clock are sent with a correction. An answer that took
// too long, as when the phone slept, cannot measure the clock, so the request is repeated.
async function requestAbout() {
  for (let tries = 0; tries < 3; tries++) {
    const askedAt = Date.now();
    const about = await requestHub('about');
    const answeredAt = Date.now();
    if (answeredAt < askedAt || answeredAt - askedAt > maxClockDelay) continue;
    await saveMeasurement(about.now - (askedAt + answeredAt) / 2);
    return { about, answeredAt };
  }
  throw new Fault({
    code: 'unavailable',
    sentence: 'the hub answers too slowly',
    hint: 'what you record stays on this phone until the hub answers faster',
  });
}

// isMember says whether the hub syncs with a phone of that role.
export const isMember = (role) => role === 'owner' || role === 'helper';

// resendEverything marks all facts and photos as unsent, so that they are sent again.
async function resendEverything(values) {
  isCaughtUp = false;
  await markPhotosUnsent(); // first: if the app is stopped in between, this is repeated
  await markAllUnsent(values);
}

// recordClockCorrections records how wrong the clock was for unsent facts whose clock turned out to
// be wrong or was never measured.
async function recordClockCorrections() {
  const { offset } = await loadMeasurement();
  const drafts = await call('exchange.correctClocks', {
    waiting: await unsentFacts(),
    device: await deviceId(),
    offset,
  });
  if (drafts.length) await record(/** @type {FactDraft[]} */ (drafts));
}

// requestLetter gets the letter that follows numbers which this phone gives without a lease.
async function requestLetter() {
  const { letter } = await meta.get('letter');
  if (letter) return;
  const joined = await requestHub('join', { device: await deviceId(), name: defaultDeviceName() });
  await meta.set({ letter: joined.letter });
}

async function describePhone() {
  const { cursor, seen } = await meta.get('cursor', 'seen');
  return { device: await deviceId(), cursor: cursor || null, seen: seen || zeroStamp, whole: isCaughtUp };
}

// exchangeOnce makes one call that pushes and pulls, and says how many facts were new and whether
// there is more to do.
async function exchangeOnce() {
  const phone = await describePhone();
  const lease = isCaughtUp ? (await loadBatches()).map((s) => s.id) : [];
  const request = await call('exchange.nextRequest', {
    phone,
    waiting: await unsentFacts(maxFacts),
    lease,
    need: numbersNeeded,
  });
  const answer = await requestHub('exchange', request);
  const knownFacts = await factsById(answer.facts.map((f) => f.id));
  const steps = await call('exchange.planAnswer', {
    phone,
    sent: /** @type {any[]} */ (request.facts).map(({ id, device: by }) => ({ id, device: by })),
    answer,
    known: knownFacts.map((f) => f.id),
  });
  if (steps.resend) await markPhotosUnsent(); // first: if the app is stopped in between, the hub says so again
  const newFacts = await applyAnswer(steps, answer.facts, {
    cursor: steps.phone.cursor,
    seen: steps.phone.seen,
    latest: steps.phone.latest,
    reached: Date.now(),
  });
  isCaughtUp = steps.phone.whole;
  return { newCount: newFacts.length, more: steps.more || (await countUnsent()) > 0 };
}

// sendToQuarantine sends unsent facts to a hub that has removed this phone. The hub keeps them
// apart until the owner decides. The same facts are sent only once.
async function sendToQuarantine() {
  const count = await countUnsent();
  const { held } = await meta.get('held');
  if (!count || held?.count === count) return;
  let says = '';
  for (let facts = await unsentFacts(maxQuarantined); facts.length; ) {
    const request = await call('exchange.nextRequest', {
      phone: await describePhone(),
      waiting: facts.slice(0, maxFacts),
      lease: [],
    });
    await requestHub('exchange', request).catch((err) => {
      if (!hasCode(err, 'refused')) throw err;
      says = err.sentence;
    });
    facts = facts.slice(request.facts.length);
  }
  await meta.set({ held: { count, says } });
}
