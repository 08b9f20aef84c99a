// The sums and the journal's rules, asked of the core in its worker: call(name,
// args) gives the value or throws a Fault. A worker that dies or hangs is
// replaced and its open calls are asked once more.
import { Fault } from './fault.js';
/** @import { Calls } from '../dist/calls.d.ts' */

const callTimeout = 20e3; // ms for one call
const loadTimeout = 90e3; // ms for the core to load on a slow network

/** @type {Worker | null} */
let worker = null;
let isReady = false;
let nextId = 1;
let loadTimer = 0;
/**
 * OpenCall is a call that waits for its answer; asked counts how often the worker was asked.
 * @typedef {{name: string, body: string, bytes?: Uint8Array, asked: number, timer: number,
 *   resolve: (answer: any) => void, reject: (fault: Fault) => void}} OpenCall
 */
/** @type {Map<number, OpenCall>} */
const openCalls = new Map(); // by id

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
export function callWithBytes(name, args, bytes) {
  const body = JSON.stringify(args);
  return new Promise((resolve, reject) => {
    const id = nextId++;
    openCalls.set(id, { name, body, bytes, resolve, reject, asked: 0, timer: 0 });
    if (!worker) startWorker();
    else if (isReady) sendCall(id);
  });
}

// checkCore makes sure that the core still answers: a phone ends workers in the
// background without a word.
export function checkCore() {
  if (!isReady) return;
  const silent = setTimeout(() => restartWorker('no answer after the pause'), 5000);
  call('about')
    .finally(() => clearTimeout(silent))
    .catch(() => undefined); // a core that does not answer is restarted by the timer
}

function startWorker() {
  isReady = false;
  const mine = new Worker('/core/core-worker.js');
  worker = mine;
  mine.onmessage = ({ data }) => {
    if (worker === mine) handleMessage(data);
  };
  mine.onerror = (e) => {
    e.preventDefault();
    if (worker === mine) restartWorker(e.message || 'its file did not load');
  };
  loadTimer = setTimeout(() => restartWorker('it did not load'), loadTimeout);
}

function handleMessage({ id, text, bytes, ready, dead: why }) {
  if (why) return restartWorker(why);
  if (ready) {
    clearTimeout(loadTimer);
    isReady = true;
    for (const waiting of openCalls.keys()) sendCall(waiting);
    return;
  }
  const q = openCalls.get(id);
  if (!q) return;
  openCalls.delete(id);
  clearTimeout(q.timer);
  const answer = JSON.parse(text);
  if (answer.error) q.reject(new Fault(answer.error));
  else q.resolve({ value: answer.value, bytes });
}

function sendCall(id) {
  const q = /** @type {OpenCall} */ (openCalls.get(id));
  q.asked++;
  q.timer = setTimeout(() => restartWorker(`no answer to ${q.name}`), callTimeout);
  worker?.postMessage({ id, name: q.name, body: q.body, bytes: q.bytes });
}

// restartWorker puts a new worker in the place of one that is no good. A call that was
// asked twice is given up: it may be what kills the core.
function restartWorker(why) {
  console.error('core:', why);
  clearTimeout(loadTimer);
  const wasReady = isReady;
  worker?.terminate();
  worker = null;
  isReady = false;
  for (const [id, q] of openCalls) {
    clearTimeout(q.timer);
    if (!wasReady) q.asked++;
    if (q.asked < 2) continue;
    openCalls.delete(id);
    q.reject(
      new Fault({
        code: 'unavailable',
        sentence: 'the part of the app that does the sums does not answer',
        hint: 'close the app and open it again',
      }),
    );
  }
  if (openCalls.size) startWorker();
}
