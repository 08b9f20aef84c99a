// Alarms while the app is open: which are due, which were missed, and that a dismissed one stays
// away until a reading moves it to a later time.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule, settle } from './app.mjs';
import './core.mjs';
import { fakeStorage } from './fake-storage.mjs';

globalThis.indexedDB = fakeStorage({ flushAtOnce: true }).indexedDB;
globalThis.document = Object.assign(new EventTarget(), { visibilityState: 'visible' });
const vibrations = [];
let touchPage = null;
globalThis.addEventListener = (kind, listener) => {
  if (kind === 'click') touchPage = listener;
};
Object.defineProperty(navigator, 'vibrate', { value: (pattern) => vibrations.push(pattern), configurable: true });

const { call } = await loadModule('/core/core.js');
const { record } = await loadModule('/journal/journal.js');
const { meta } = await loadModule('/journal/db.js');
const { alarmSetting } = await loadModule('/device/settings.js');
const { clockTick } = await loadModule('/journal/changes.js');
const { dismissAlarms, dueAlarms, watchAlarms } = await loadModule('/journal/alarms.js');
const { isRinging, stopRinging } = await loadModule('/device/ring.js');
const { Kind } = await loadModule('/dist/constants.js');
await meta.set({ letter: 'B' });

const hour = 3600e3;
const realNow = Date.now;
const start = realNow();
let now = start;
Date.now = () => now;

async function until(what, isTrue) {
  for (const end = realNow() + 30e3; realNow() < end; ) {
    if (isTrue()) return;
    await settle();
  }
  assert.fail(`no ${what}: ${JSON.stringify(dueAlarms.value)}`);
}

const read = (shed, celsius) =>
  record([{ scope: `place/${shed}`, subject: shed, kind: Kind.placeRead, body: { celsius } }]);

test('alarms are shown at their time, missed ones first, and stay dismissed until the time moves', async () => {
  const [id, secret, piece, colour, bag, shed] = await call('id.new', { n: 6 });
  const scope = `batch/${id}`;
  now = start - 30 * hour;
  await read(shed, 21);
  await record([
    { scope, subject: id, kind: Kind.batchStarted, body: { name: 'Market', secret } },
    { scope, subject: piece, kind: Kind.pieceAdded, body: { kind: 'towel', count: 1, grams: 60 } },
    {
      scope,
      subject: colour,
      kind: Kind.colourChosen,
      body: { name: 'rust', caps: 'RU', rgb: '#a04020', class: 'dichlorotriazine', strength: 40, depth: 1 },
    },
    {
      scope,
      subject: bag,
      kind: Kind.bagClosed,
      body: {
        number: 1,
        letter: 'B',
        place: shed,
        pieces: [{ piece, count: 1 }],
        colours: [{ colour, share: 1 }],
      },
    },
  ]);
  alarmSetting.value = { ...alarmSetting.value, since: 1 };
  now = start;
  await watchAlarms();
  await until('missed alarm', () => dueAlarms.value.list.length === 1);
  assert.equal(dueAlarms.value.missed, 1, 'its time was six hours ago, while the app was closed');
  assert.equal(dueAlarms.value.list[0].title, 'Bag 1B is probably ready');
  assert.match(dueAlarms.value.list[0].when, /ago$/);
  assert.equal(isRinging(), false, 'what was missed does not ring');

  await dismissAlarms();
  clockTick.value++;
  for (let i = 0; i < 50; i++) await settle();
  assert.equal(dueAlarms.value.list.length, 0, 'dismissed');

  // It was 12 °C for most of the time: the bag is not ready, and rings once it is.
  now = start - 28 * hour;
  await read(shed, 12);
  now = start;
  await read(shed, 12);
  const [alarm] = await call('alarms.list', {
    states: await (await loadModule('/journal/states.js')).loadBatches(),
    env: await (await loadModule('/journal/env.js')).coreEnv(),
  });
  assert.ok(alarm.at > start, 'colder, so later');
  for (let i = 0; i < 50; i++) await settle();
  assert.equal(dueAlarms.value.list.length, 0);
  assert.equal(vibrations.length, 0, 'a browser lets no page vibrate that was not touched');
  touchPage(); // there is an alarm, so the app waits for a touch to ready its sound
  now = alarm.at + 1000;
  clockTick.value++;
  await until('ring', () => dueAlarms.value.list.length === 1 && isRinging());
  assert.equal(dueAlarms.value.missed, 0);
  assert.ok(vibrations.some((v) => Array.isArray(v)));
  await dismissAlarms();
  assert.equal(isRinging(), false);
  stopRinging();
});
