import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule, settle } from './app.mjs';

// A page that is shown or hidden, and a browser that grants a lock when it is told to.
globalThis.document = Object.assign(new EventTarget(), { visibilityState: 'visible' });
const lockRequests = [];
const wakeLock = { request: () => new Promise((grant) => lockRequests.push(grant)) };
Object.defineProperty(navigator, 'wakeLock', { value: wakeLock, configurable: true });
const { keepScreenOn } = await loadModule('/device/wake-lock.js');

const show = (state) => {
  document.visibilityState = state;
  document.dispatchEvent(new Event('visibilitychange'));
};
const grantLock = async (grant) => {
  const lock = { releases: 0, release: () => lock.releases++ };
  grant(lock);
  await settle();
  return lock;
};

test('the screen is kept on, also after the app was hidden, until it is released', async () => {
  lockRequests.length = 0;
  const releaseScreen = keepScreenOn();
  assert.equal(lockRequests.length, 1);
  await grantLock(lockRequests[0]);
  show('hidden');
  assert.equal(lockRequests.length, 1, 'not while it is hidden');
  show('visible');
  assert.equal(lockRequests.length, 2);
  const lock = await grantLock(lockRequests[1]);
  assert.equal(lock.releases, 0);
  releaseScreen();
  assert.equal(lock.releases, 1);
  show('visible');
  assert.equal(lockRequests.length, 2, 'not after it was let go');
});

test('a lock that is granted after the screen was left is released', async () => {
  lockRequests.length = 0;
  keepScreenOn()();
  assert.equal((await grantLock(lockRequests[0])).releases, 1);
});
