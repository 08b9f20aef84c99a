// A stand-in for IndexedDB, as far as db.js uses it (W3C, Indexed Database API 3.0). As
// there, a transaction that writes waits for the earlier ones with the same stores, and a
// row is copied on its way in and out. A transaction completes when flush is called, as a
// disk does in its own time.

const doNothing = () => undefined;

// makeTransaction returns a transaction whose requests wait until start is called. idle is
// called whenever all of them are answered.
function makeTransaction(names, mode, durability, idle) {
  const waiting = [];
  let open = 0;
  const tx = { stores: names, mode, durability, isStarted: false, isDone: false };
  const answer = (r, work) => {
    r.result = work();
    queueMicrotask(() => {
      r.onsuccess?.();
      open--;
      if (tx.isIdle()) idle(tx);
    });
  };
  tx.isIdle = () => tx.isStarted && open === 0 && !tx.isDone;
  // request runs work when the transaction has started; again asks once more, as a cursor does.
  tx.request = (work, r = {}) => {
    open++;
    if (tx.isStarted) answer(r, work);
    else waiting.push(() => answer(r, work));
    return r;
  };
  tx.start = () => {
    tx.isStarted = true;
    for (const run of waiting.splice(0)) run();
    if (tx.isIdle()) idle(tx);
  };
  tx.conflictsWith = (other) =>
    (mode === 'readwrite' || other.mode === 'readwrite') && names.some((name) => other.stores.includes(name));
  return tx;
}

function openCursor(all, request) {
  const r = {};
  let keys = null;
  const step = () => {
    keys ??= [...all.keys()];
    const key = keys.shift();
    if (key === undefined) return null;
    return { value: structuredClone(all.get(key)), update: (row) => all.set(key, row), continue: next };
  };
  const next = () => request(step, r);
  return next();
}

function makeStore(all, keyPath, request) {
  const isKey = (value, key) => (Array.isArray(value) ? value.includes(key) : value === key); // multiEntry
  const indexed = (index, key) =>
    [...all.values()].filter((row) => (key === undefined ? row[index] !== undefined : isKey(row[index], key)));
  const copyOf = (work) => request(() => structuredClone(work()));
  return {
    get: (key) => copyOf(() => all.get(key)),
    getAll: () => copyOf(() => [...all.values()]),
    getAllKeys: () => copyOf(() => [...all.keys()]),
    put: (value, key) => {
      const copy = structuredClone(value);
      return request(() => void all.set(keyPath ? copy[keyPath] : key, copy));
    },
    delete: (key) => request(() => all.delete(key)),
    count: () => request(() => all.size),
    openCursor: () => openCursor(all, request),
    index: (index) => ({
      getAll: (key, count) => copyOf(() => indexed(index, key).slice(0, count)),
      getAllKeys: (key) => copyOf(() => indexed(index, key).map((row) => row[keyPath])),
      get: (key) => copyOf(() => indexed(index, key)[0]),
      count: (key) => request(() => indexed(index, key).length),
    }),
  };
}

// fakeStorage returns {indexedDB, db, transactions, rows, flush}: each transaction with its
// stores, mode and durability; the rows of a store by key; and flush, which completes
// what was begun, or with an error aborts it. With flushAtOnce a transaction completes by
// itself when its requests are answered.
export function fakeStorage({ flushAtOnce = false } = {}) {
  const stores = new Map();
  const keyPaths = new Map();
  const transactions = [];
  let begun = []; // in their order, until they are done
  const rows = (name) => stores.get(name);

  function finish(tx, error) {
    if (tx.isDone) return;
    tx.isDone = true;
    begun = begun.filter((other) => other !== tx);
    tx.error = error;
    if (error) tx.onabort?.();
    else tx.oncomplete?.();
    startDue();
  }

  function startDue() {
    begun.forEach((tx, i) => {
      if (!tx.isStarted && !begun.slice(0, i).some((earlier) => tx.conflictsWith(earlier))) tx.start();
    });
  }

  function completeWhenIdle(tx) {
    if (flushAtOnce) setTimeout(() => tx.isIdle() && finish(tx, null), 0);
  }

  function flush(error = null) {
    for (const tx of begun.filter((one) => one.isStarted)) finish(tx, error);
  }

  const db = {
    createObjectStore(name, { keyPath } = {}) {
      stores.set(name, new Map());
      keyPaths.set(name, keyPath);
      return { createIndex: doNothing };
    },
    transaction(names, mode, options) {
      const tx = makeTransaction(names, mode, options?.durability, completeWhenIdle);
      tx.objectStore = (name) => makeStore(rows(name), keyPaths.get(name), tx.request);
      tx.abort = () => finish(tx, new DOMException('aborted', 'AbortError'));
      transactions.push(tx);
      begun.push(tx);
      startDue();
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
