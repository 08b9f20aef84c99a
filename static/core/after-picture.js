// What a touch leads to begins once the page shows that the touch was taken. A poor phone takes its time to draw a
// screen, and has few processors: a worker that computes would keep that picture waiting as well.

const longestWait = 120; // ms; a page in the background draws nothing

/** @type {(() => void)[] | null} */
let waiting = null; // what begins after the next picture; null where no touch waits to be shown

/** expectPicture is called when a touch was taken, after the page was told to show it. */
export function expectPicture() {
  if (waiting) return;
  waiting = [];
  const begin = () => {
    clearTimeout(timer);
    const actions = waiting ?? [];
    waiting = null;
    for (const action of actions) action();
  };
  const timer = setTimeout(begin, longestWait);
  requestAnimationFrame(() => setTimeout(begin));
}

/** afterPicture calls the action when the last touch is shown as taken: at once where none waits for that. */
export function afterPicture(action) {
  if (waiting) waiting.push(action);
  else action();
}
