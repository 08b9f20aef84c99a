// Lets one at a time do a thing, over all windows of the app where the browser
// can, else in this one.

const lockTimeout = 10e3; // ms; a window that the phone put to sleep may hold its turn for ever
const lastByName = new Map();

// withLock runs work when its turn comes and gives what it gives. Whoever waited
// too long goes on: all that is done in turn may be repeated, and the turn only
// keeps it tidy.
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
    mine.catch(() => {}),
  );
  return mine;
}
