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
const longest = 5e3; // ms an answer may take that measures a clock

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
    const { about, measured } = await greet();
    if (inExample || about.example) return;
    if (measured) await correct();
    let came = 0;
    for (let more = true; more;) {
      const part = await once();
      came += part.came;
      more = part.more || !whole;
      if (!part.more) whole = true;
    }
    await join(); // the house is known now: who had a letter keeps it, also at a new hub
    if (came) await catchUp();
  });
  return knownHub();
}

// greet asks who the hub is, measures its clock, and notices another hub: then
// everything is exchanged afresh and the one before is remembered. An answer that
// was long on its way, as over a phone's sleep, measures nothing.
async function greet() {
  const asked = Date.now();
  const about = await ask('about');
  const heard = Date.now();
  const measured = heard - asked < longest;
  if (measured) await remember(about.now - (asked + heard) / 2);
  const { hub, zone } = await meta.get('hub', 'zone');
  const values = { hub: about.hub, reached: heard, example: about.example, zone: about.example ? zone : about.zone };
  if (about.example && !inExample) delete values.hub;
  if (!inExample && values.hub && hub && hub.id !== about.hub.id) await afresh({ ...values, cursor: null, letter: '', other: hub.id });
  else await meta.set(values);
  return { about, measured };
}

// afresh sends all there is again; until that is done this phone knows less than
// the hub should.
async function afresh(values) {
  whole = false;
  await unsettle(values);
}

// correct tells this phone's facts that wait, and were written by a clock that is
// now found wrong or was never measured, how wrong it was. A scope that was told
// so after its last such fact, and waits too, is not told again.
async function correct() {
  const { offset } = await measure();
  const mine = await device();
  const off = (had) => !(Math.abs(offset - had) <= slack);
  const untold = new Set(); // scopes
  for (const f of (await waiting(most)).filter((f) => f.device === mine && /^(batch|place)\//.test(f.scope)).sort((a, b) => (a.stamp < b.stamp ? -1 : 1))) {
    if (f.kind === 'clock.measured') { if (!off(f.body.offset)) untold.delete(f.scope); }
    else if (off(f.clock?.offset)) untold.add(f.scope);
  }
  if (untold.size) await record([...untold].map((scope) => ({ scope, subject: scope.split('/')[1], kind: 'clock.measured', body: { offset } })));
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
  if (answer.fresh) await afresh({});
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
