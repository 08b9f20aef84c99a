// What a touch leads to begins once the page shows that it was taken: a poor phone takes its time to draw a
// screen, and has few processors, so that a worker that computes would keep the picture waiting.

const longestWait = 120; // ms; a page in the background draws nothing

/** @type {Promise<void> | null} */
let openPicture = null;

/** expectPicture is called when a touch was taken, after the page was told to show it. */
export function expectPicture() {
  const picture = new Promise((resolve) => {
    requestAnimationFrame(() => requestAnimationFrame(() => resolve(undefined))); // by then the next frame is drawn
    setTimeout(resolve, longestWait);
  }).then(() => {
    if (openPicture === picture) openPicture = null;
  });
  openPicture = picture;
}

/** afterPicture ends when the last touch is shown as taken: at once where none waits for that. */
export const afterPicture = async () => {
  while (openPicture) await openPicture;
};
