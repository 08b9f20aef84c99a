// The sums and the journal's rules, asked of the core in its worker: call(name,
// args) returns the value or throws a Fault.
import { WorkerProgram } from './worker-calls.js';
/** @import { Calls } from '../dist/calls.d.ts' */

const core = new WorkerProgram('core');

/**
 * Args are the arguments of a call; they may be left out if all of them are optional.
 * @template {keyof Calls} Name
 * @typedef {{} extends Calls[Name]['args'] ? [args?: Calls[Name]['args']] : [args: Calls[Name]['args']]} Args
 */

/**
 * call calls the core. All calls are pure, so repeating one does no harm.
 * @template {keyof Calls} Name
 * @param {Name} name
 * @param {Args<Name>} args
 * @returns {Promise<Calls[Name]['result']>}
 */
export const call = async (name, ...[args]) => (await callWithBytes(name, /** @type {any} */ (args ?? {}))).value;

/**
 * callWithBytes calls the core with bytes beside the arguments, such as a picture. The result may
 * have bytes beside the value too. The worker gets a copy of the bytes, because a call may be sent
 * twice.
 * @template {keyof Calls} Name
 * @param {Name} name
 * @param {Calls[Name]['args']} args
 * @param {Uint8Array} [bytes]
 * @returns {Promise<{value: Calls[Name]['result'], bytes?: Uint8Array}>}
 */
export const callWithBytes = (name, args, bytes) => core.callWithBytes(name, args, bytes);

// checkCore makes sure that the core still answers.
export const checkCore = () => core.check(() => call('about'));
