// The part of the core that few screens need, in a worker of its own: the calculators, the pictures
// of folded pieces, colours from photos. It starts with its first call.
import { WorkerProgram } from './worker-calls.js';
/** @import { ExtraCalls } from '../dist/calls.d.ts' */

const callTimeout = 90e3; // ms: a slow phone that is busy otherwise may take long for its first picture
const program = new WorkerProgram('extra', callTimeout);

// checkExtra makes sure that the program still answers, if it was started.
export const checkExtra = () => program.check(() => callExtra('calc.list', {}));

/**
 * callExtra makes a call and returns its value, or throws a Fault.
 * @template {keyof ExtraCalls} Name
 * @param {Name} name
 * @param {ExtraCalls[Name]['args']} args
 * @returns {Promise<ExtraCalls[Name]['result']>}
 */
export const callExtra = async (name, args) => (await callExtraWithBytes(name, args)).value;

/**
 * callExtraWithBytes makes a call with the pixels of a picture, or for them: they go and come beside the JSON.
 * @template {keyof ExtraCalls} Name
 * @param {Name} name
 * @param {ExtraCalls[Name]['args']} args
 * @param {Uint8Array} [bytes]
 * @returns {Promise<{value: ExtraCalls[Name]['result'], bytes?: Uint8Array}>}
 */
export const callExtraWithBytes = (name, args, bytes) => /** @type {any} */ (program.callWithBytes(name, args, bytes));
