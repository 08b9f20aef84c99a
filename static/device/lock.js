// A lock by name, over all windows of the app where the browser has locks, else within
// this window.

const lockTimeout = 10e3; // ms; a window that the phone put to sleep may hold a lock for ever
const lastByName = new Map();

// withLock runs work when it has the lock and returns its result. After lockTimeout it runs
// work without the lock, so work must be safe without: the lock only avoids double work.
export async function withLock(name, work) {
  if (navigator.locks) {
    let began = false;
    try {
      return await navigator.locks.request(name, { signal: AbortSignal.timeout(lockTimeout) }, () => {
        began = true;
        return work();
      });
    } catch (err) {
      if (began) throw err;
      return work();
    }
  }
  const mine = (lastByName.get(name) || Promise.resolve()).then(work);
  lastByName.set(
    name,
    mine.catch(() => undefined), // whoever asked for it gets the error; the next one only waits
  );
  return mine;
}
