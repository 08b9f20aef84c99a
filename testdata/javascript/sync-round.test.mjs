// One round of the exchange with a hub that the test plays.
import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import { doNothing, loadModule } from './app.mjs';
import './core.mjs';
import { fakeStorage } from './fake-storage.mjs';

const storage = fakeStorage({ flushAtOnce: true });
globalThis.indexedDB = storage.indexedDB;
globalThis.document ??= { visibilityState: 'visible', addEventListener: doNothing };
globalThis.localStorage = { getItem: () => null, setItem: doNothing };
Object.assign(navigator, { userAgent: 'Linux' });
globalThis.matchMedia = () => ({ matches: false });
globalThis.location = new URL('https://coldbatch.local:8443/');

const { call } = await loadModule('/core/core.js');
const { record, importFacts } = await loadModule('/journal/journal.js');
const { meta } = await loadModule('/journal/db.js');
const { allFacts } = await loadModule('/journal/facts.js');
const { latestTime, saveMeasurement } = await loadModule('/journal/clock.js');
const { runSyncRound } = await loadModule('/sync/sync-round.js');
const { Kind, maxFacts } = await loadModule('/dist/constants.js');

await saveMeasurement(0); // its clock is right, and no fact has to say how wrong it was

const [hubId, other] = await call('id.new', { n: 2 });
const answerOf = (request, values) => ({
  hub: { id: hubId },
  fresh: false,
  acks: request.facts.map((f) => f.id),
  refused: [],
  facts: [],
  cursor: null,
  more: false,
  now: Date.now(),
  ...values,
});

// The hub: role is what it says about this phone, exchange how it answers one call, and asked
// what came, in order.
const hub = { id: hubId, role: 'owner', exchange: answerOf, asked: [] };
globalThis.fetch = async (path, { body }) => {
  const request = body && JSON.parse(body);
  const name = path.replace('/api/v1/', '');
  hub.asked.push({ name, request });
  const replies = {
    about: () => ({
      hub: { id: hub.id, name: 'home', host: 'coldbatch.local', https: 8443 },
      you: { role: hub.role },
      example: false,
      zone: { name: 'UTC', changes: [] },
      network: null,
      now: Date.now(),
    }),
    join: () => ({ letter: 'A' }),
    exchange: () => hub.exchange(request),
  };
  const reply = replies[name]();
  return new Response(JSON.stringify(reply), { status: reply.error ? 403 : 200 });
};
const exchanges = () => hub.asked.filter((q) => q.name === 'exchange').map((q) => q.request);

beforeEach(() => {
  for (const name of ['facts', 'heads', 'states']) storage.rows(name)?.clear();
  Object.assign(hub, { id: hubId, role: 'owner', exchange: answerOf, asked: [] });
});

const [place, batch, secret] = await call('id.new', { n: 3 });
const readings = (count) =>
  Array.from({ length: count }, () => ({
    scope: `place/${place}`,
    subject: place,
    kind: Kind.placeRead,
    body: { celsius: 18 },
  }));

// factsOfOther returns a fact as another phone wrote it: that a batch was started, or draft.
const batchStarted = {
  scope: `batch/${batch}`,
  subject: batch,
  kind: Kind.batchStarted,
  body: { name: 'Tea towels', secret },
};
const placeNamed = { kind: Kind.placeNamed, body: { name: 'shed' } };
async function factsOfOther(now, draft = batchStarted) {
  const author = { device: other, seen: '0000000000000000', now, tz: 'UTC', offset: 0, measured: now };
  return (await call('facts.write', { author, drafts: [draft] })).facts;
}

test('one round sends everything unsent, down to the last fact', async () => {
  await runSyncRound(); // nothing else is left to ask for
  hub.asked = [];
  await record(readings(maxFacts + 1));
  const known = await runSyncRound();
  assert.deepEqual(
    exchanges().map((r) => r.facts.length),
    [maxFacts, 1],
  );
  assert.equal(known.unsentCount, 0);
});

test('new facts are shown, even if the last answer brought none', async () => {
  const came = await factsOfOther(Date.now(), { scope: `place/${place}`, subject: place, ...placeNamed });
  let calls = 0;
  hub.exchange = (request) => {
    calls++;
    const cursor = { seq: 1, id: came[0].id };
    return answerOf(request, { cursor, ...(calls === 1 && { facts: came, more: true }) });
  };
  await runSyncRound();
  assert.equal(calls, 2);
  assert.deepEqual([...storage.rows('states').keys()], [`place/${place}`]);
});

test('numbers are requested only once this phone has everything that the hub has', async () => {
  const came = [...(await factsOfOther(Date.now())), ...(await factsOfOther(Date.now()))];
  let calls = 0;
  hub.exchange = (request) => {
    const facts = came.slice(calls, calls + 1);
    calls++;
    const cursor = { seq: Math.min(calls, 2), id: came[Math.min(calls, 2) - 1].id };
    return answerOf(request, { fresh: calls === 1, cursor, facts, more: calls < 3 });
  };
  await runSyncRound();
  const leases = exchanges().map((r) => r.lease);
  assert.deepEqual(leases.slice(1, 3), [[], []], 'while there was more');
  assert.deepEqual(leases.at(-1), [batch], 'of the open batch');
});

test('a phone that is removed during an exchange sends its unsent facts to quarantine, once', async () => {
  await record(readings(2));
  hub.exchange = () => {
    hub.role = 'out';
    return { error: { code: 'refused', sentence: 'this phone was removed' } };
  };
  const known = await runSyncRound();
  assert.equal(known.role, 'out');
  assert.equal(known.quarantineMessage, 'this phone was removed');
  assert.equal(known.unsentCount, 2, 'it is kept here too');
  hub.asked = [];
  await runSyncRound();
  assert.deepEqual(exchanges(), [], 'sent again though nothing is new');
});

test('on the computer itself, another journal at the same address waits for a yes', async () => {
  await record(readings(1));
  await runSyncRound();
  await record(readings(1));
  globalThis.location = new URL('http://localhost:8090/');
  [hub.id] = await call('id.new', { n: 1 });
  hub.asked = [];
  const known = await runSyncRound();
  assert.deepEqual([known.unknownHubId, known.id, known.unsentCount], [hub.id, hubId, 1]);
  assert.deepEqual(exchanges(), [], 'nothing is sent or fetched');
  await meta.set({ accepted: hub.id });
  const joined = await runSyncRound();
  assert.deepEqual([joined.unknownHubId, joined.id, joined.previousHubId], ['', hub.id, hubId]);
  assert.equal(exchanges()[0].facts.length, 2, 'both, also the one that the other hub has');
  globalThis.location = new URL('https://coldbatch.local:8443/');
});

test('a phone that is paired with another hub was told so: it sends everything at once', async () => {
  await record(readings(1));
  await runSyncRound();
  [hub.id] = await call('id.new', { n: 1 });
  hub.asked = [];
  const known = await runSyncRound();
  assert.deepEqual([known.unknownHubId, known.id], ['', hub.id]);
  assert.equal(exchanges()[0].facts.length, 1);
});

test('a refusal to a phone that still has access is an error', async () => {
  await record(readings(1));
  hub.exchange = () => ({ error: { code: 'refused', sentence: 'not now' } });
  await assert.rejects(runSyncRound(), { code: 'refused' });
  assert.equal(hub.asked.filter((q) => q.name === 'about').length, 2, 'it asks who it is now');
});

// A stamp says what was known before what (hybrid logical clock, Kulkarni et al. 2014):
// what is written after a fact came has the later one, whatever the clock says.
test('a fact written after others arrived gets a later stamp, even if the clock was set back', async () => {
  const ahead = await factsOfOther(Date.now() + 3600e3);
  await importFacts(ahead);
  const [mine] = await record(readings(1));
  assert.ok(mine.stamp > ahead[0].stamp, `${mine.stamp} is not after ${ahead[0].stamp}`);
  assert.equal((await allFacts()).length, 2);
});

test('the latest time does not go back when the clock is set back', async () => {
  const noon = Date.now();
  await saveMeasurement(0);
  await meta.set({ latest: noon + 3600e3 });
  assert.equal(await latestTime(), noon + 3600e3);
  await meta.set({ latest: noon - 3600e3 });
  assert.ok((await latestTime()) >= noon, 'nor does it wait for the hub');
});
