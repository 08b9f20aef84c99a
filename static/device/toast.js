// One line at the bottom that says what was done and offers to take it back.
import { signal } from '@preact/signals';

/** @type {import('@preact/signals').Signal<{key: number, text: string, label: string, act: (() => unknown) | null} | null>} */
export const toast = signal(null); // {key, text, label, act} or null; label and act are "" and null where nothing is offered

let key = 0;

/**
 * showToast shows text; label and act are the word and the work of its button.
 * @param {string} text
 * @param {string} [label]
 * @param {(() => unknown) | null} [act]
 */
export function showToast(text, label = '', act = null) {
  toast.value = { key: ++key, text, label, act };
}

// hideToast takes the line away, that of the given key or whichever stands there.
export function hideToast(which = key) {
  if (which === key) toast.value = null;
}
