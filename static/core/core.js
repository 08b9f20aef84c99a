// The sums and the journal's rules, asked of the core in its worker: call(name,
// args) gives the value or throws a Fault.
import { WorkerProgram } from './worker-calls.js';
/** @import { Calls } from '../dist/calls.d.ts' */

const core = new WorkerProgram('core');

/**
 * Args are the arguments of a call, which may be left out where all of them may.
 * @template {keyof Calls} Name
 * @typedef {{} extends Calls[Name]['args'] ? [args?: Calls[Name]['args']] : [args: Calls[Name]['args']]} Args
 */

/**
 * call asks the core. All calls are pure: asking twice does no harm.
 * @template {keyof Calls} Name
 * @param {Name} name
 * @param {Args<Name>} args
 * @returns {Promise<Calls[Name]['result']>}
 */
export const call = async (name, ...[args]) => (await callWithBytes(name, /** @type {any} */ (args ?? {}))).value;

/**
 * callWithBytes asks the core with bytes beside the arguments, such as a picture. The
 * result's bytes are what the core gives beside the value. The worker gets a copy of the
 * bytes, because a call may be asked twice.
 * @template {keyof Calls} Name
 * @param {Name} name
 * @param {Calls[Name]['args']} args
 * @param {Uint8Array} [bytes]
 * @returns {Promise<{value: Calls[Name]['result'], bytes?: Uint8Array}>}
 */
export const callWithBytes = (name, args, bytes) => core.callWithBytes(name, args, bytes);

// checkCore makes sure that the core still answers.
export const checkCore = () => core.check(() => call('about'));
