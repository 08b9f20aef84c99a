// One line at the bottom that says what was done and offers to undo it.
import { signal } from '@preact/signals';
import { asFault } from '../core/fault.js';
import { trackWork } from './one-touch.js';
import { noteStorageError } from './storage.js';

/**
 * Toast is the line's content; label and action are "" and null if it has no button; shownAt is when it was first
 * shown, in ms of performance.now().
 * @typedef {{key: number, text: string, label: string, action: (() => unknown) | null, shownAt: number}} Toast
 */
export const toast = signal(/** @type {Toast | null} */ (null));

let lastKey = 0;

/**
 * showToast shows text; label and action are the text and the action of its button.
 * @param {string} text
 * @param {string} [label]
 * @param {(() => unknown) | null} [action]
 */
export function showToast(text, label = '', action = null) {
  lastKey++;
  toast.value = { key: lastKey, text, label, action, shownAt: performance.now() };
}

// announce shows text once nothing else is shown, so that it takes no Undo away.
export function announce(text) {
  if (!toast.peek()) return showToast(text);
  const stop = toast.subscribe((shown) => {
    if (shown) return;
    stop();
    showToast(text);
  });
}

// showFault shows an error that has no place of its own on the screen.
export function showFault(err) {
  noteStorageError(err);
  const { sentence, hint } = asFault(err);
  showToast(`${sentence[0].toUpperCase()}${sentence.slice(1)}${hint ? `: ${hint}` : ''}.`);
}

// runOrShow runs work and shows the error if it fails.
export async function runOrShow(work) {
  try {
    await trackWork(Promise.resolve().then(work));
  } catch (err) {
    showFault(err);
  }
}

// hideToast hides the toast with that key, or whichever is shown.
export function hideToast(key = lastKey) {
  if (key === lastKey) toast.value = null;
}
