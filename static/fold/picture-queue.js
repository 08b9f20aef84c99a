// Pictures of a cloth, asked for while a thumb drags: one is drawn at a time, and of those that
// were asked for meanwhile only the latest.
import { callExtraWithBytes } from '../core/extra.js';

/**
 * pictureQueue returns a function that asks for a picture. show gets each that comes, and
 * fail the fault of the last one asked for.
 * @param {(value: any, pixels: Uint8Array) => void} show
 * @param {(err: unknown) => void} fail
 * @param {(request: any) => Promise<{value: any, bytes?: Uint8Array}>} draw
 */
export function pictureQueue(show, fail, draw = (request) => callExtraWithBytes('fold.draw', request)) {
  let wanted = null;
  let isDrawing = false;
  async function drawWanted() {
    while (wanted) {
      const request = wanted;
      wanted = null;
      try {
        const { value, bytes } = await draw(request);
        show(value, bytes || new Uint8Array());
      } catch (err) {
        if (!wanted) fail(err);
      }
    }
  }
  return (request) => {
    wanted = request;
    if (isDrawing) return;
    isDrawing = true;
    drawWanted().finally(() => {
      isDrawing = false;
    });
  };
}
