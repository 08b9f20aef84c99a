// One round of the exchange: who is the hub, what time has it and what does it let
// this phone do; then push and pull until neither side has more.
import { call } from '../core/core.js';
import { bump } from '../journal/changes.js';
import { clockOff, measure, remember } from '../journal/clock.js';
import { inExample } from '../device/example-mode.js';
import { meta } from '../journal/db.js';
import { Fault } from '../core/fault.js';
import { howMany, howManyNot, sendAll, take, waiting, withIds } from '../journal/facts.js';
import { ask } from './hub-client.js';
import { device, never, record } from '../journal/journal.js';
import { sendAgain } from './photos.js';
import { deviceName } from '../device/settings.js';
import { batches, catchUp } from '../journal/states.js';
import { inTurn } from '../device/lock.js';

const most = 500; // facts a call
const mostHeld = 5000; // facts that the hub holds for the owner
const longest = 5e3; // ms an answer may take that measures a clock

// knownHub gives what is known of the hub without asking it.
export async function knownHub() {
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
  await measure();
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
    clockOff: clockOff.value,
    ...(inExample ? { waiting: 0, refused: 0 } : { waiting: await howMany(), refused: await howManyNot() }),
  };
}

// need says of how many bag numbers of a batch this phone wants to have at hand, by
// its id: blanks are to be printed.
export const need = {};

// whole says that this phone has had all that the hub had: only then does it know
// which batches are open, and asks for bag numbers of those.
let whole = false;

// round exchanges everything and gives what is then known of the hub. It throws
// a Fault where the hub is not reached.
export async function round() {
  await inTurn('coldbatch-exchange', async () => {
    const { about, role } = await greet();
    if (inExample || about.example || role === 'stranger') return;
    await correct();
    if (role === 'out') return hold();
    let came = 0;
    try {
      for (let more = true; more; ) {
        const part = await once();
        came += part.came;
        more = part.more;
      }
    } catch (err) {
      // it may have been let out since it was greeted
      if (err.code !== 'refused' || (await greet()).role !== 'out') throw err;
      return hold();
    }
    await join(); // the house is known now: who had a letter keeps it, also at a new hub
    if (came) await catchUp();
  });
  return knownHub();
}

// greet asks who the hub is and who it takes this phone for, and notices another
// hub: then everything is exchanged afresh and the one before is remembered.
async function greet() {
  const { about, heard } = await sayHello();
  const role = about.you.out ? 'out' : about.you.role;
  const { hub, zone, you: before } = await meta.get('hub', 'zone', 'you');
  const values = {
    hub: about.hub,
    reached: heard,
    example: about.example,
    zone: about.example ? zone : about.zone,
    network: about.network,
  };
  if (about.example && !inExample) delete values.hub;
  if (!about.example) values.you = { role, helps: role === 'helper' || (!isIn(role) && Boolean(before?.helps)) };
  if (!about.example && isIn(role)) Object.assign(values, { was: true, held: null });
  if (!inExample && values.hub && hub && hub.id !== about.hub.id)
    await afresh({ ...values, cursor: null, letter: '', other: hub.id });
  else await meta.set(values);
  return { about, role };
}

// sayHello asks the hub who it is, and measures its clock: no fact goes out before
// that is done, since times that were written by a wrong clock are told so on the
// way. An answer that was long on its way, as over a phone's sleep, measures
// nothing, and is asked for again.
async function sayHello() {
  for (let tries = 0; tries < 3; tries++) {
    const asked = Date.now();
    const about = await ask('about');
    const heard = Date.now();
    if (heard < asked || heard - asked > longest) continue;
    await remember(about.now - (asked + heard) / 2);
    return { about, heard };
  }
  throw new Fault({
    code: 'unavailable',
    sentence: 'the hub answers too slowly',
    hint: 'what you record stays on this phone until it is nearer',
  });
}

// isIn says whether the hub exchanges with a phone in that role.
export const isIn = (role) => role === 'owner' || role === 'helper';

// afresh sends all there is again, facts and photos; until that is done this
// phone knows less than the hub should.
async function afresh(values) {
  whole = false;
  await sendAgain(); // first: who is stopped in between comes here once more
  await sendAll(values);
}

// correct tells the facts that wait, and were written by a clock that is now found
// wrong or was never measured, how wrong it was.
async function correct() {
  const { offset } = await measure();
  const drafts = await call('exchange.correct', { waiting: await waiting(), device: await device(), offset });
  if (drafts.length) await record(drafts);
}

// join gets the letter that goes behind numbers given without a lease.
async function join() {
  const { letter } = await meta.get('letter');
  if (letter) return;
  const joined = await ask('join', { device: await device(), name: deviceName() });
  await meta.set({ letter: joined.letter });
}

async function self() {
  const { cursor, seen } = await meta.get('cursor', 'seen');
  return { device: await device(), cursor: cursor || null, seen: seen || never, whole };
}

// once pushes and pulls one call's worth, and says how many facts came and
// whether there is more to do.
async function once() {
  const phone = await self();
  const lease = whole ? (await batches()).map((s) => s.id) : [];
  const request = await call('exchange.ask', { phone, waiting: await waiting(most), lease, need });
  const answer = await ask('exchange', request);
  const here = await withIds(answer.facts.map((f) => f.id));
  const steps = await call('exchange.hear', {
    phone,
    sent: request.facts.map(({ id, device: by }) => ({ id, device: by })),
    answer,
    known: here.map((f) => f.id),
  });
  if (steps.resend) await sendAgain(); // first: who is stopped in between is told so once more
  const fresh = await take(steps, answer.facts, {
    cursor: steps.phone.cursor,
    seen: steps.phone.seen,
    reached: Date.now(),
  });
  whole = steps.phone.whole;
  if (fresh.length) bump();
  return { came: fresh.length, more: steps.more || (await howMany()) > 0 };
}

// hold gives what waits to a hub that lets this phone in no more: it is kept there
// until the owner has looked at it. Once is enough.
async function hold() {
  const count = await howMany();
  const { held } = await meta.get('held');
  if (!count || held?.count === count) return;
  let says = '';
  for (let facts = await waiting(mostHeld); facts.length; ) {
    const request = await call('exchange.ask', { phone: await self(), waiting: facts.slice(0, most), lease: [] });
    await ask('exchange', request).catch((err) => {
      if (err.code !== 'refused') throw err;
      says = err.sentence;
    });
    facts = facts.slice(request.facts.length);
  }
  await meta.set({ held: { count, says } });
}
