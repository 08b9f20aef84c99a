// The phone's database. All access goes through transact. It opens the database, and opens
// it again if the browser closed it in the background, and it resolves only once what was
// written is on the disk.
import { errorName, Fault } from '../core/fault.js';
import { exampleMode, setExampleMode } from '../device/example-mode.js';
import { withLock } from '../device/lock.js';

// The stores: facts {id, scope, pending?, refused?, fact} · heads {scope, list,
// tokens, made, have, version, uses?, until?, brief?}, one for each state · states, by scope ·
// meta, values by name · photos {hash, bytes, type, pending?}.
const version = 2;
function createStores(db, oldVersion) {
  if (oldVersion < 1) createJournalStores(db);
  // The index pending has only the photos that the hub does not have.
  if (oldVersion < 2) db.createObjectStore('photos', { keyPath: 'hash' }).createIndex('pending', 'pending');
}

function createJournalStores(db) {
  const facts = db.createObjectStore('facts', { keyPath: 'id' });
  facts.createIndex('scope', 'scope');
  facts.createIndex('pending', 'pending'); // has only facts that the hub does not have: 1 waits, 2 was refused
  const heads = db.createObjectStore('heads', { keyPath: 'scope' });
  heads.createIndex('list', 'list'); // batch-open, batch-closed, place, shelf
  heads.createIndex('tokens', 'tokens', { multiEntry: true });
  db.createObjectStore('states');
  db.createObjectStore('meta');
}

const journalName = 'coldbatch';
const exampleName = 'coldbatch-example';
const databaseName = exampleMode ? exampleName : journalName;

// switchJournal changes between the real journal and the example, which share nothing,
// and restarts the app.
export async function switchJournal(which) {
  setExampleMode(which);
  if (!which) {
    closeDatabase();
    await new Promise((completed) => {
      const r = indexedDB.deleteDatabase(exampleName);
      r.onsuccess = r.onerror = r.onblocked = completed;
    });
  }
  location.assign('/');
}

/** @type {Promise<IDBDatabase> | null} */
let openPromise = null;

// openDatabase lets one window at a time open the database. If a page is left while it opens
// the database, Chromium freezes it for the back button, and it would block the next page
// for ever. Because the next page waits for the lock, the browser discards the frozen one.
function openDatabase() {
  openPromise ??= withLock(
    'coldbatch-open',
    () =>
      new Promise((resolve, reject) => {
        const openTimer = setTimeout(() => reject(new DOMException('open hangs', 'UnknownError')), 8000);
        const request = indexedDB.open(databaseName, version);
        request.onupgradeneeded = ({ oldVersion }) => createStores(request.result, oldVersion);
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          clearTimeout(openTimer);
          const db = request.result;
          db.onclose = () => {
            openPromise = null;
          };
          db.onversionchange = () => {
            openPromise = null;
            db.close();
          };
          resolve(db);
        };
      }),
  ).catch((err) => {
    openPromise = null;
    throw err;
  });
  return openPromise;
}

function closeDatabase() {
  openPromise?.then(
    (db) => db.close(),
    () => undefined, // it did not open: its callers get the error
  );
  openPromise = null;
}

// transact runs work in a transaction on the named stores. work may await only requests to
// those stores. The promise resolves to the result of work, once everything is written.
export async function transact(stores, mode, work) {
  for (let isRetry = false; ; isRetry = true) {
    try {
      return await runTransaction(stores, mode, work);
    } catch (err) {
      if (isRetry || !isConnectionLost(err)) throw storageFault(err);
      console.error('storage:', err);
      closeDatabase();
    }
  }
}

async function runTransaction(stores, mode, work) {
  // Facts and photos must be on the disk; the rest can be computed again from facts.
  const durability = stores.includes('facts') || stores.includes('photos') ? 'strict' : 'relaxed';
  const tx = (await openDatabase()).transaction(stores, mode, { durability });
  const completed = new Promise((resolve, reject) => {
    tx.oncomplete = resolve;
    tx.onabort = () => reject(tx.error || new DOMException('the storage was closed', 'UnknownError'));
  });
  completed.catch(() => undefined); // the error is thrown below, or by work
  /** @type {Record<string, ReturnType<typeof wrapStore>>} */
  const wrappedStores = {};
  for (const s of stores) wrappedStores[s] = wrapStore(tx.objectStore(s));
  let result;
  try {
    result = await work(wrappedStores);
  } catch (err) {
    try {
      tx.abort();
    } catch (abortErr) {
      if (errorName(abortErr) !== 'InvalidStateError') throw abortErr; // otherwise it has ended by itself
    }
    const cause = await completed.then(
      () => err,
      (why) => why,
    );
    throw errorName(err) === 'AbortError' ? cause : err;
  }
  await completed;
  return result;
}

const requestDone = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

// wrapStore wraps a store so that its requests are promises. each calls f with every value
// and stores what f returns in its place, if anything.
function wrapStore(store) {
  return {
    get: (key) => requestDone(store.get(key)),
    getAll: (index, key, count) => requestDone(index ? store.index(index).getAll(key, count) : store.getAll()),
    getAllKeys: (index, key) => requestDone(index ? store.index(index).getAllKeys(key) : store.getAllKeys()),
    count: (index, key) => requestDone(index ? store.index(index).count(key) : store.count(key)),
    put: (value, key) => requestDone(store.put(value, key)),
    delete: (key) => requestDone(store.delete(key)),
    updateEach: (update) =>
      new Promise((/** @type {(value?: undefined) => void} */ resolve, reject) => {
        const request = store.openCursor();
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const cursor = request.result;
          if (!cursor) return resolve();
          const value = update(cursor.value);
          if (value) cursor.update(value);
          cursor.continue();
        };
      }),
  };
}

// isConnectionLost says whether an error means that the browser closed the connection while
// the app was in the background.
const isConnectionLost = (err) =>
  ['UnknownError', 'InvalidStateError', 'TransactionInactiveError'].includes(errorName(err));

function storageFault(err) {
  switch (errorName(err)) {
    case 'QuotaExceededError':
      return new Fault({
        code: 'full',
        sentence: 'this phone is full, so this was not saved',
        hint: 'free some space, or save the journal to a file under Phone',
      });
    case 'VersionError':
      return new Fault({
        code: 'newer',
        sentence: 'the journal on this phone was written by a newer version of the app',
        hint: 'open the app again near the hub',
      });
    case 'UnknownError':
    case 'InvalidStateError':
    case 'SecurityError':
      return new Fault({
        code: 'unavailable',
        sentence: 'the phone’s storage does not answer, and nothing was saved',
        hint:
          'free some space if the phone is full, then close the app and open it again; ' +
          'a private window saves nothing',
      });
  }
  return err;
}

// meta stores single values by name.
export const meta = {
  get: (...names) =>
    transact(['meta'], 'readonly', async (t) => {
      const out = {};
      for (const n of names) out[n] = await t.meta.get(n);
      return out;
    }),
  set: (values) =>
    transact(['meta'], 'readwrite', async (t) => {
      for (const [n, v] of Object.entries(values)) await t.meta.put(v, n);
    }),
};
