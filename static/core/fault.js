// A fault is an error with a sentence for the person. It comes from the core, the hub or the phone.
/** @import { Code } from '../dist/calls.d.ts' */

export class Fault extends Error {
  /** @param {{code?: Code, sentence: string, hint?: string, input?: string, typed?: string}} fault */
  constructor({ code = 'internal', sentence, hint = '', input = '', typed = '' }) {
    super(hint ? `${sentence} (${hint})` : sentence);
    this.code = code;
    this.sentence = sentence;
    this.hint = hint;
    this.input = input;
    this.typed = typed;
    /** @type {(() => unknown) | undefined} */
    this.goOn = undefined; // goes on all the same, where the fault is a question
    /** @type {(() => unknown) | undefined} */
    this.leave = undefined;
  }
}

/**
 * errorName returns the name of an error as the platform gives them, '' for anything else.
 * @param {unknown} err
 */
export const errorName = (err) => (err instanceof Error ? err.name : '');

/**
 * hasCode says whether an error is a Fault of that code.
 * @param {unknown} err
 * @param {Code} code
 */
export const hasCode = (err, code) => err instanceof Fault && err.code === code;

/**
 * asFault turns any error into a Fault. An error that is not one already is a bug: it is logged to
 * the console, and the person only learns that something went wrong.
 * @param {unknown} err
 * @returns {Fault}
 */
export function asFault(err) {
  if (err instanceof Fault) return err;
  console.error(err);
  return new Fault({
    sentence: 'something went wrong inside the app',
    hint: 'try again; if it happens again, close the app and open it again',
  });
}
