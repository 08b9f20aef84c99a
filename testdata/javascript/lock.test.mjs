import assert from 'node:assert/strict';
import { afterEach, test } from 'node:test';
import { doNothing, loadModule, settle } from './app.mjs';

const { withLock } = await loadModule('/device/lock.js');

// grantAtOnce stands in for the Web Locks API (W3C) where no other window holds the lock.
const grantAtOnce = { request: async (_name, _options, work) => work() };
// grantNever is where another window holds it until the signal ends the waiting.
const grantNever = {
  request: async () => {
    throw new DOMException('signal timed out', 'TimeoutError');
  },
};
const setLocks = (locks) => Object.defineProperty(navigator, 'locks', { value: locks, configurable: true });

afterEach(() => setLocks(undefined));

test('work is done once, and its result is given', async () => {
  setLocks(grantAtOnce);
  let calls = 0;
  assert.equal(await withLock('a', async () => ++calls), 1);
  assert.equal(calls, 1);
});

test('work that fails is not done again, and its error is thrown on', async () => {
  for (const locks of [grantAtOnce, undefined]) {
    setLocks(locks);
    let calls = 0;
    const failing = withLock('b', async () => {
      calls++;
      throw new Error('wrong');
    });
    await assert.rejects(failing, { message: 'wrong' });
    assert.equal(calls, 1);
  }
});

test('who waits for its turn too long goes on without it', async () => {
  setLocks(grantNever);
  assert.equal(await withLock('c', async () => 'done'), 'done');
});

test('without the browser’s locks one window does one thing after the other', async () => {
  setLocks(undefined);
  const log = [];
  const finish = {};
  const work = (name) => () => {
    log.push(`${name} begins`);
    return new Promise((resolve) => {
      finish[name] = () => {
        log.push(`${name} ends`);
        resolve(name);
      };
    });
  };
  const all = [withLock('d', work('first')), withLock('d', work('second')), withLock('e', work('other'))];
  await settle();
  assert.deepEqual(log, ['first begins', 'other begins']);
  finish.first();
  await settle();
  assert.deepEqual(log.slice(2), ['first ends', 'second begins']);
  finish.second();
  finish.other();
  assert.deepEqual(await Promise.all(all), ['first', 'second', 'other']);
});

test('a thing that failed keeps no other out', async () => {
  setLocks(undefined);
  withLock('f', async () => {
    throw new Error('wrong');
  }).catch(doNothing);
  assert.equal(await withLock('f', async () => 'next'), 'next');
});
