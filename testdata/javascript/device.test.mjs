// Which address and journal the app uses, and what it announces only once.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { doNothing, loadModule, settle } from './app.mjs';

const listeners = {};
globalThis.addEventListener = (kind, listener) => (listeners[kind] = listener);
const savedItems = new Map();
globalThis.localStorage = {
  getItem: (key) => savedItems.get(key) ?? null,
  setItem: (key, value) => savedItems.set(key, value),
  removeItem: (key) => savedItems.delete(key),
};
globalThis.document = Object.assign(new EventTarget(), { visibilityState: 'visible' });
const setLocation = (address) => {
  globalThis.location = Object.assign(new URL(address), { assign: doNothing, reload: doNothing });
};
setLocation('https://coldbatch.local:8443/');

test('the kind of address depends on the hub’s name and port', async () => {
  const { addressKind } = await loadModule('/device/origin.js');
  const network = { host: 'coldbatch.local', https: 8443, http: 8090 };
  for (const [address, known, kind] of [
    ['https://coldbatch.local:8443/', network, 'home'],
    ['https://coldbatch.local:9443/', network, 'copy'],
    ['http://coldbatch.local:8443/', network, 'copy'],
    ['https://192.168.1.20:8443/', network, 'copy'],
    ['https://coldbatch.home.arpa:8443/', network, 'alias'],
    ['http://localhost:8090/', network, 'computer'],
    ['http://127.0.0.1:8090/', null, 'computer'],
    ['http://[::1]:8090/', network, 'computer'],
    ['https://192.168.1.20:8443/', null, ''],
    ['https://192.168.1.20:8443/', {}, ''],
  ]) {
    setLocation(address);
    assert.equal(addressKind(known), kind, `${address} of ${JSON.stringify(known)}`);
  }
});

test('the joining addresses leave out link-local ones and put IPv6 ones in brackets', async () => {
  const { joinAddresses } = await loadModule('/device/origin.js');
  const addresses = ['192.168.1.20', 'fe80::1', 'FE80::2', '2001:db8::5'];
  assert.deepEqual(joinAddresses({ addresses, http: 8090 }), ['http://192.168.1.20:8090', 'http://[2001:db8::5]:8090']);
  assert.deepEqual(joinAddresses(null), []);
});

test('a switch between journal and example in another window reloads this one; nothing else does', async () => {
  await loadModule('/device/example-mode.js');
  const went = [];
  globalThis.location.assign = (path) => went.push(path);
  listeners.storage({ key: 'coldbatch.style' });
  assert.deepEqual(went, []);
  listeners.storage({ key: 'coldbatch.example' });
  assert.deepEqual(went, ['/']);
});

test('“Ready to work offline” is shown once, when it is true', async (t) => {
  // A worker that answers at once, and timers that keep nobody waiting.
  globalThis.MessageChannel = class {
    port1 = {};
    port2 = { postMessage: (data) => this.port1.onmessage({ data }) };
  };
  const { setTimeout: wait } = globalThis;
  t.mock.method(globalThis, 'setTimeout', (...of) => wait(...of).unref());
  t.mock.method(globalThis, 'setInterval', doNothing);
  const worker = { postMessage: (_, [port]) => queueMicrotask(() => port.postMessage(true)) };
  const registration = Object.assign(new EventTarget(), { update: async () => undefined });
  const serviceWorker = Object.assign(new EventTarget(), {
    controller: worker,
    register: async () => registration,
    ready: Promise.resolve({ active: worker }),
  });
  Object.defineProperty(globalThis.navigator, 'serviceWorker', { value: serviceWorker, configurable: true });
  const { isOfflineReady, registerServiceWorker } = await loadModule('/device/service-worker.js');
  const { hideToast, toast } = await loadModule('/device/toast.js');
  for (const [start, words] of [
    ['the first start', 'Ready to work offline'],
    ['the next start', undefined],
  ]) {
    hideToast();
    isOfflineReady.value = false;
    await registerServiceWorker();
    for (let i = 0; i < 10; i++) await settle();
    assert.equal(isOfflineReady.value, true, start);
    assert.equal(toast.value?.text, words, start);
  }
});

test('an announcement waits until what was done can no longer be undone there', async () => {
  const { announce, hideToast, showToast, toast } = await loadModule('/device/toast.js');
  showToast('Bag 2 closed', 'Undo', doNothing);
  announce('Ready to work offline');
  assert.equal(toast.value.text, 'Bag 2 closed');
  showToast('Bag 3 closed', 'Undo', doNothing);
  assert.equal(toast.value.text, 'Bag 3 closed');
  hideToast();
  assert.equal(toast.value.text, 'Ready to work offline');
  hideToast();
  assert.equal(toast.value, null, 'it is said once');
  announce('Again');
  assert.equal(toast.value.text, 'Again');
});
