// The program that draws folded pieces, in a worker of its own. It is fetched with the first call,
// and kept with the app from then on.
import { WorkerProgram } from '../core/worker-calls.js';
/** @import { FoldCalls } from '../dist/calls.d.ts' */

const patience = 90e3; // ms: a slow phone that is busy otherwise may take long for its first picture
const program = new WorkerProgram('fold', patience);

/**
 * callFold makes a call and gives its value, or throws a Fault.
 * @template {keyof FoldCalls} Name
 * @param {Name} name
 * @param {FoldCalls[Name]['args']} args
 * @returns {Promise<FoldCalls[Name]['result']>}
 */
export const callFold = async (name, args) => (await callFoldWithBytes(name, args)).value;

/**
 * callFoldWithBytes gives the pixels beside the value.
 * @template {keyof FoldCalls} Name
 * @param {Name} name
 * @param {FoldCalls[Name]['args']} args
 * @returns {Promise<{value: FoldCalls[Name]['result'], bytes?: Uint8Array}>}
 */
export const callFoldWithBytes = (name, args) => /** @type {any} */ (program.callWithBytes(name, args));

/** @type {Promise<FoldCalls['fold.choices']['result']> | null} */
let choicesPromise = null;

// foldChoices gives what there is to choose from. It never changes while the app runs.
export const foldChoices = () =>
  (choicesPromise ??= callFold('fold.choices', {}).catch((err) => {
    choicesPromise = null;
    throw err;
  }));
