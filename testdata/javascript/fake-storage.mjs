// A stand-in for IndexedDB, as far as db.js uses it (W3C, Indexed Database API 3.0). A
// transaction completes when flush is called, as a disk does in its own time.

const doNothing = () => undefined;

const request = (result) => {
  const r = { result };
  queueMicrotask(() => r.onsuccess?.());
  return r;
};

function openCursor(all) {
  const keys = [...all.keys()];
  const r = {};
  const step = () => {
    const key = keys.shift();
    r.result = key === undefined ? null : { value: all.get(key), update: (row) => all.set(key, row), continue: later };
    r.onsuccess();
  };
  const later = () => queueMicrotask(step);
  later();
  return r;
}

function makeStore(all, keyPath) {
  const indexed = (index, key) =>
    [...all.values()].filter((row) => (key === undefined ? row[index] !== undefined : row[index] === key));
  return {
    get: (key) => request(all.get(key)),
    getAll: () => request([...all.values()]),
    getAllKeys: () => request([...all.keys()]),
    put: (value, key) => request(all.set(keyPath ? value[keyPath] : key, value)),
    delete: (key) => request(all.delete(key)),
    count: () => request(all.size),
    openCursor: () => openCursor(all),
    index: (index) => ({
      getAll: (key, count) => request(indexed(index, key).slice(0, count)),
      getAllKeys: (key) => request(indexed(index, key).map((row) => row[keyPath])),
      get: (key) => request(indexed(index, key)[0]),
      count: (key) => request(indexed(index, key).length),
    }),
  };
}

// fakeStorage gives {indexedDB, transactions, rows, flush}: each transaction with its
// stores, mode and durability; the rows of a store by key; and flush, which completes
// what was begun, or with an error aborts it. With flushAtOnce it is called by itself.
export function fakeStorage({ flushAtOnce = false } = {}) {
  const stores = new Map();
  const keyPaths = new Map();
  const transactions = [];
  let begun = [];

  const rows = (name) => stores.get(name);
  const objectStore = (name) => makeStore(rows(name), keyPaths.get(name));

  function flush(error = null) {
    const list = begun;
    begun = [];
    for (const tx of list) {
      tx.error = error;
      if (error) tx.onabort?.();
      else tx.oncomplete?.();
    }
  }

  const db = {
    createObjectStore(name, { keyPath } = {}) {
      stores.set(name, new Map());
      keyPaths.set(name, keyPath);
      return { createIndex: doNothing };
    },
    transaction(names, mode, options) {
      const tx = { stores: names, mode, durability: options?.durability, objectStore, abort: () => tx.onabort?.() };
      transactions.push(tx);
      begun.push(tx);
      if (flushAtOnce) setTimeout(flush, 0);
      return tx;
    },
    close: doNothing,
  };
  const indexedDB = {
    open() {
      const r = { result: db };
      queueMicrotask(() => {
        if (!stores.size) r.onupgradeneeded({ oldVersion: 0 });
        r.onsuccess();
      });
      return r;
    },
  };
  return { indexedDB, db, transactions, rows, flush };
}
