// A named lock for all windows of the app, or for this window alone if the browser has no locks.

const lockTimeout = 10e3; // ms; a window that the phone put to sleep may hold a lock for ever
const lastPromises = new Map();

// withLock runs work when it has the lock and returns its result. After lockTimeout it runs
// work without the lock, so work must be safe without: the lock only avoids double work.
export async function withLock(name, work) {
  if (navigator.locks) {
    let hasLock = false;
    try {
      return await navigator.locks.request(name, { signal: AbortSignal.timeout(lockTimeout) }, () => {
        hasLock = true;
        return work();
      });
    } catch (err) {
      if (hasLock) throw err;
      return work();
    }
  }
  const result = (lastPromises.get(name) || Promise.resolve()).then(work);
  lastPromises.set(
    name,
    result.catch(() => undefined), // whoever asked for it gets the error; the next one only waits
  );
  return result;
}
