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

test('work is done once, and its result is returned', async () => {
  setLocks(grantAtOnce);
  let calls = 0;
  assert.equal(await withLock('a', async () => ++calls), 1);
  assert.equal(calls, 1);
});

test('work that fails is not repeated, and its error is rethrown', async () => {
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

test('a wait for the lock that takes too long goes on without it', async () => {
  setLocks(grantNever);
  assert.equal(await withLock('c', async () => 'done'), 'done');
});

test('without the browser’s locks, work in one window runs one after the other', async () => {
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

test('work that failed does not block the next', async () => {
  setLocks(undefined);
  withLock('f', async () => {
    throw new Error('wrong');
  }).catch(doNothing);
  assert.equal(await withLock('f', async () => 'next'), 'next');
});
