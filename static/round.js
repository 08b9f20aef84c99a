// One round of the exchange: who is the hub and what time has it, then push and
// pull until neither side has more.
import {clockOff, measure, remember} from '/clock.js';
import {inExample, meta} from '/db.js';
import {howMany, settle, unsettle, waiting} from '/facts.js';
import {Fault} from '/fault.js';
import {ask} from '/hub.js';
import {device, learn, record} from '/journal.js';
import {deviceName} from '/settings.js';
import {batches, catchUp} from '/states.js';
import {inTurn} from '/turn.js';

const most = 500; // facts a call
const mostText = 600e3; // characters a call; the hub takes 1 MB
const slack = 2 * 60e3; // ms a clock may be off before facts are told of it

// knownHub gives what is known of the hub without asking it.
export async function knownHub() {
  const { hub, reached, other, refused, example } = await meta.get('hub', 'reached', 'other', 'refused', 'example');
  await measure();
  return { name: hub?.name || '', id: hub?.id || '', host: hub?.host || '', reached: reached || 0, other: other || '',
    refused: refused || 0, example: Boolean(example), waiting: inExample ? 0 : await howMany(), clockOff: clockOff.value };
}

// whole says that this phone has had all that the hub had: only then does it know
// which batches are open, and asks for bag numbers of those.
let whole = false;

// round exchanges everything and gives what is then known of the hub. It throws
// a Fault where the hub is not reached.
export async function round() {
  await inTurn('coldbatch-exchange', async () => {
    const about = await greet();
    if (inExample || about.example) return;
    await correct();
    await join();
    let came = 0;
    for (let more = true; more;) {
      const part = await once();
      came += part.came;
      more = part.more || !whole;
      if (!part.more) whole = true;
    }
    if (came) await catchUp();
  });
  return knownHub();
}

// greet asks who the hub is, measures its clock, and notices another hub: then
// everything is exchanged afresh and the one before is remembered.
async function greet() {
  const asked = Date.now();
  const about = await ask('about');
  const heard = Date.now();
  await remember(about.now - (asked + heard) / 2);
  const { hub, zone } = await meta.get('hub', 'zone');
  const values = { hub: about.hub, reached: heard, example: about.example, zone: about.example ? zone : about.zone };
  if (about.example && !inExample) delete values.hub;
  if (!inExample && values.hub && hub && hub.id !== about.hub.id) await unsettle({ ...values, cursor: null, letter: '', other: hub.id });
  else await meta.set(values);
  return about;
}

// correct tells facts that wait, and were written by a clock that is now found
// wrong, how wrong it was.
async function correct() {
  const { offset } = await measure();
  const off = new Set();
  for (const f of await waiting(most)) {
    if (f.kind !== 'clock.measured' && /^(batch|place)\//.test(f.scope) && Math.abs(offset - (f.clock?.offset || 0)) > slack) off.add(f.scope);
  }
  const { told = {} } = await meta.get('told'); // what was said of a scope already
  const drafts = [...off].filter((scope) => Math.abs(offset - (told[scope] ?? Infinity)) > slack)
    .map((scope) => ({ scope, subject: scope.split('/')[1], kind: 'clock.measured', body: { offset } }));
  if (!drafts.length) return;
  await record(drafts);
  await meta.set({ told: { ...told, ...Object.fromEntries(drafts.map((d) => [d.scope, offset])) } });
}

// join gets the letter that goes behind numbers given without a lease.
async function join() {
  const { letter } = await meta.get('letter');
  if (letter) return;
  const joined = await ask('join', { device: await device(), name: deviceName() });
  await meta.set({ letter: joined.letter });
}

// once pushes and pulls one call's worth, and says how many facts came and
// whether there is more to do.
async function once() {
  const { cursor } = await meta.get('cursor');
  const facts = fitting(await waiting(most));
  const lease = whole ? (await batches()).map((s) => s.id).slice(0, 100) : [];
  const answer = await ask('exchange', { device: await device(), now: Date.now(), cursor: cursor || null, facts, lease });
  await settle(answer.acks, answer.refused);
  if (answer.fresh) await unsettle({});
  const fresh = await learn(answer.facts, { values: { cursor: answer.cursor, reached: Date.now() } });
  if (answer.refused.length) {
    const { refused = 0 } = await meta.get('refused');
    await meta.set({ refused: refused + answer.refused.length });
    for (const r of answer.refused) console.error('the hub refused', r.id, r.sentence);
  }
  if (facts.length && !answer.acks.length && !answer.refused.length) throw new Fault({ code: 'unavailable', sentence: 'the hub took none of what it was sent' });
  return { came: fresh.length, more: answer.more || answer.fresh || await howMany() > 0 };
}

// fitting gives the facts that go into one call, at least one.
function fitting(facts) {
  let size = 0;
  const end = facts.findIndex((f) => (size += JSON.stringify(f).length) > mostText);
  return end < 0 ? facts : facts.slice(0, Math.max(1, end));
}
