// Lets one at a time do a thing, over all windows of the app where the browser
// can, else in this one.

const patience = 10e3; // ms; a window that the phone put to sleep may hold its turn for ever
const last = new Map();

// inTurn runs work when its turn comes and gives what it gives. Whoever waited
// too long goes on: all that is done in turn may be repeated, and the turn only
// keeps it tidy.
export async function inTurn(name, work) {
  if (navigator.locks) {
    let began = false;
    try {
      return await navigator.locks.request(name, { signal: AbortSignal.timeout(patience) }, () => {
        began = true;
        return work();
      });
    } catch (err) {
      if (began) throw err;
      return work();
    }
  }
  const mine = (last.get(name) || Promise.resolve()).then(work);
  last.set(
    name,
    mine.catch(() => {}),
  );
  return mine;
}
