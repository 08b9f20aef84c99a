// A fault is an error told to a person: the core's, the hub's or the phone's.
/** @import { FaultCode } from '../dist/calls.d.ts' */

export class Fault extends Error {
  /** @param {{code?: FaultCode, sentence: string, hint?: string, input?: string, typed?: string}} fault */
  constructor({ code = 'internal', sentence, hint = '', input = '', typed = '' }) {
    super(hint ? `${sentence} (${hint})` : sentence);
    this.code = code;
    this.sentence = sentence;
    this.hint = hint;
    this.input = input;
    this.typed = typed;
  }
}

/**
 * errorName gives the name of an error as the platform gives them, '' for anything else.
 * @param {unknown} err
 */
export const errorName = (err) => (err instanceof Error ? err.name : '');

/**
 * hasCode says whether an error is a Fault of that code.
 * @param {unknown} err
 * @param {FaultCode} code
 */
export const hasCode = (err, code) => err instanceof Fault && err.code === code;

/**
 * asFault gives any error as a Fault. What is not one already is our own mistake: it goes to the
 * console, and the person is told no more than that.
 * @param {unknown} err
 * @returns {Fault}
 */
export function asFault(err) {
  if (err instanceof Fault) return err;
  console.error(err);
  return new Fault({
    sentence: 'something went wrong inside the app',
    hint: 'try again; if it stays so, close the app and open it again',
  });
}
