// One round of the exchange: who is the hub, what time has it and what does it let
// this phone do; then push and pull until neither side has more.
import { maxFacts, maxQuarantined } from '../dist/constants.js';
import { call } from '../core/core.js';
import { announceChange } from '../journal/changes.js';
import { clockOffset, loadMeasurement, saveMeasurement } from '../journal/clock.js';
import { exampleMode } from '../device/example-mode.js';
import { meta } from '../journal/db.js';
import { Fault, hasCode } from '../core/fault.js';
import { countUnsent, countRefused, markAllUnsent, applyAnswer, unsentFacts, factsById } from '../journal/facts.js';
import { requestHub } from './hub-client.js';
import { deviceId, zeroStamp, record } from '../journal/journal.js';
import { markPhotosUnsent } from './photos.js';
import { defaultDeviceName } from '../device/settings.js';
import { loadBatches, refreshStates } from '../journal/states.js';
import { withLock } from '../device/lock.js';

/** @import { FactDraft } from '../dist/calls.d.ts' */

const maxClockDelay = 5e3; // ms an answer may take that measures a clock

// loadHubState gives what is known of the hub without asking it.
export async function loadHubState() {
  const { hub, reached, other, example, you, was, held, network } = await meta.get(
    'hub',
    'reached',
    'other',
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
    reached: reached || 0,
    other: other || '',
    network: network || null,
    role: you?.role || '',
    helps: Boolean(you?.helps),
    was: Boolean(was),
    held: held?.says || '',
    example: Boolean(example),
    clockOff: clockOffset.value,
    ...(exampleMode ? { waiting: 0, refused: 0 } : { waiting: await countUnsent(), refused: await countRefused() }),
  };
}

// numbersNeeded says of how many bag numbers of a batch this phone wants to have at hand, by
// its id: blanks are to be printed.
export const numbersNeeded = {};

// isCaughtUp says that this phone has had all that the hub had: only then does it know
// which batches are open, and asks for bag numbers of those.
let isCaughtUp = false;

// runSyncRound exchanges everything and gives what is then known of the hub. It throws
// a Fault where the hub is not reached.
export async function runSyncRound() {
  await withLock('coldbatch-exchange', async () => {
    const { about, role } = await identifyHub();
    if (exampleMode || about.example || role === 'stranger') return;
    await recordClockCorrections();
    if (role === 'out') return sendToQuarantine();
    let came = 0;
    try {
      for (let more = true; more; ) {
        const part = await exchangeOnce();
        came += part.came;
        more = part.more;
      }
    } catch (err) {
      // it may have been let out since it was greeted
      if (!hasCode(err, 'refused') || (await identifyHub()).role !== 'out') throw err;
      return sendToQuarantine();
    }
    await requestLetter(); // the house is known now: who had a letter keeps it, also at a new hub
    if (came) await refreshStates();
  });
  return loadHubState();
}

// identifyHub asks who the hub is and who it takes this phone for, and notices another
// hub: then everything is exchanged afresh and the one before is remembered.
async function identifyHub() {
  const { about, heard } = await requestAbout();
  const role = about.you.out ? 'out' : about.you.role;
  const { hub, zone, you: before } = await meta.get('hub', 'zone', 'you');
  const values = {
    hub: about.hub,
    reached: heard,
    example: about.example,
    zone: about.example ? zone : about.zone,
    network: about.network,
  };
  if (about.example && !exampleMode) delete values.hub;
  if (!about.example) values.you = { role, helps: role === 'helper' || (!isMember(role) && Boolean(before?.helps)) };
  if (!about.example && isMember(role)) Object.assign(values, { was: true, held: null });
  if (!exampleMode && values.hub && hub && hub.id !== about.hub.id)
    await resendEverything({ ...values, cursor: null, letter: '', other: hub.id });
  else await meta.set(values);
  return { about, role };
}

// requestAbout asks the hub who it is, and measures its clock: no fact goes out before
// that is done, since times that were written by a wrong clock are told so on the
// way. An answer that was long on its way, as over a phone's sleep, measures
// nothing, and is asked for again.
async function requestAbout() {
  for (let tries = 0; tries < 3; tries++) {
    const asked = Date.now();
    const about = await requestHub('about');
    const heard = Date.now();
    if (heard < asked || heard - asked > maxClockDelay) continue;
    await saveMeasurement(about.now - (asked + heard) / 2);
    return { about, heard };
  }
  throw new Fault({
    code: 'unavailable',
    sentence: 'the hub answers too slowly',
    hint: 'what you record stays on this phone until it is nearer',
  });
}

// isMember says whether the hub exchanges with a phone in that role.
export const isMember = (role) => role === 'owner' || role === 'helper';

// resendEverything sends all there is again, facts and photos; until that is done this
// phone knows less than the hub should.
async function resendEverything(values) {
  isCaughtUp = false;
  await markPhotosUnsent(); // first: who is stopped in between comes here once more
  await markAllUnsent(values);
}

// recordClockCorrections tells the facts that wait, and were written by a clock that is now found
// wrong or was never measured, how wrong it was.
async function recordClockCorrections() {
  const { offset } = await loadMeasurement();
  const drafts = await call('exchange.correctClocks', {
    waiting: await unsentFacts(),
    device: await deviceId(),
    offset,
  });
  if (drafts.length) await record(/** @type {FactDraft[]} */ (drafts));
}

// requestLetter gets the letter that goes behind numbers given without a lease.
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

// exchangeOnce pushes and pulls one call's worth, and says how many facts came and
// whether there is more to do.
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
  const here = await factsById(answer.facts.map((f) => f.id));
  const steps = await call('exchange.planAnswer', {
    phone,
    sent: /** @type {any[]} */ (request.facts).map(({ id, device: by }) => ({ id, device: by })),
    answer,
    known: here.map((f) => f.id),
  });
  if (steps.resend) await markPhotosUnsent(); // first: who is stopped in between is told so once more
  const fresh = await applyAnswer(steps, answer.facts, {
    cursor: steps.phone.cursor,
    seen: steps.phone.seen,
    latest: steps.phone.latest,
    reached: Date.now(),
  });
  isCaughtUp = steps.phone.whole;
  if (fresh.length) announceChange();
  return { came: fresh.length, more: steps.more || (await countUnsent()) > 0 };
}

// sendToQuarantine gives what waits to a hub that lets this phone in no more: it is kept there
// until the owner has looked at it. Once is enough.
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
