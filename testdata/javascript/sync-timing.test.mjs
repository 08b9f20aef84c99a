// When the app exchanges. Timers are told by hand; the hub cannot be reached unless a test
// says so.
import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import { doNothing, loadModule, settle } from './app.mjs';
import { fakeStorage } from './fake-storage.mjs';

globalThis.indexedDB = fakeStorage({ flushAtOnce: true }).indexedDB;
globalThis.document = Object.assign(new EventTarget(), {
  visibilityState: 'visible',
  documentElement: { dataset: {} },
});
globalThis.localStorage = { getItem: () => null, setItem: doNothing };
globalThis.location = new URL('https://coldbatch.local:8443/');
Math.random = () => 0.5; // pauses as long as they are on average

// What is due at once goes through; timers holds the others by what they were given.
const { setTimeout: wait, clearTimeout: stop } = globalThis;
const timers = new Map();
let lastTimer = 0;
globalThis.setTimeout = (work, after = 0) => {
  if (after <= 0) return wait(work, 0);
  lastTimer++;
  timers.set(lastTimer, { work, after });
  return lastTimer;
};
globalThis.clearTimeout = (key) => (timers.delete(key) ? undefined : stop(key));
const delays = () => [...timers.values()].map((timer) => timer.after);
async function fireTimer() {
  const [[key, { work }]] = timers;
  timers.delete(key);
  work();
  await waitUntilIdle();
}
async function waitUntilIdle() {
  for (let i = 0; i < 30; i++) {
    await new Promise((done) => wait(done, 1));
    await settle();
  }
}

let rounds = 0;
let reply = async () => {
  throw new TypeError('not reached');
};
globalThis.fetch = (path) => {
  if (path.endsWith('/about')) rounds++;
  return reply(path);
};
const { requestSync } = await loadModule('/sync/sync-loop.js');
const exampleHub = {
  hub: { id: 'h', name: 'home' },
  you: { role: 'owner' },
  example: true,
  zone: { name: 'UTC', changes: [] },
  network: null,
};
const answer = async () => new Response(JSON.stringify({ ...exampleHub, now: Date.now() }));
const refuse = reply;

beforeEach(() => {
  rounds = 0;
});

test('an unreachable hub is tried less and less often, but at least every half minute', async () => {
  requestSync();
  await waitUntilIdle();
  const pauses = [];
  for (let i = 0; i < 7; i++) {
    pauses.push(delays()[0]);
    await fireTimer();
  }
  for (let i = 1; i < 4; i++) assert.ok(pauses[i] > pauses[i - 1], `${pauses}`);
  assert.ok(Math.max(...pauses) <= 30e3, `${pauses}`);
  assert.equal(rounds, 8);
});

test('after a success, the next failure is retried soon', async () => {
  reply = answer;
  await fireTimer();
  assert.ok(delays()[0] >= 30e3, `${delays()}: it is asked now and then while all is well`);
  reply = refuse;
  await fireTimer();
  assert.ok(delays()[0] <= 3e3, `${delays()}`);
});

test('an earlier request is not postponed by a later one', async () => {
  requestSync(50);
  requestSync(5000);
  assert.deepEqual(delays(), [50]);
  requestSync(20);
  assert.deepEqual(delays(), [20]);
  await fireTimer();
  assert.equal(rounds, 1);
});

test('what is recorded during a round is sent right after it', async () => {
  let finish = doNothing;
  reply = async () => {
    await new Promise((done) => {
      finish = done;
    });
    return answer();
  };
  requestSync();
  await waitUntilIdle();
  timers.clear(); // those that end a request
  requestSync();
  await waitUntilIdle();
  assert.equal(rounds, 1, 'two rounds at a time');
  finish();
  reply = answer;
  await waitUntilIdle();
  assert.ok(Math.min(...delays()) < 1000, `${delays()}: it waits for the next usual round`);
});
