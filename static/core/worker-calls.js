// The calls of a program in a worker. A worker that dies or hangs is replaced and its open calls
// are asked once more.
import { afterPicture } from './after-picture.js';
import { Fault } from './fault.js';

const loadTimeout = 90e3; // ms for the program to load on a slow network

/**
 * OpenCall is a call that waits for its answer; asked counts how often the worker was asked.
 * @typedef {{name: string, body: string, bytes?: Uint8Array, asked: number, timer: number,
 *   resolve: (answer: any) => void, reject: (fault: Fault) => void}} OpenCall
 */

/** WorkerProgram is the program "core" or "extra"; its worker starts with the first call. */
export class WorkerProgram {
  /** @type {Worker | null} */
  #worker = null;
  #isReady = false;
  #nextId = 1;
  #loadTimer = 0;
  /** @type {Map<number, OpenCall>} */
  #openCalls = new Map(); // by id
  #name;

  #callTimeout;

  /**
   * @param {'core' | 'extra'} name
   * @param {number} [callTimeout] ms for one call
   */
  constructor(name, callTimeout = 20e3) {
    this.#name = name;
    this.#callTimeout = callTimeout;
  }

  /**
   * callWithBytes returns {value, bytes}, or throws a Fault. All calls are pure: asking twice does no harm.
   * @param {string} name
   * @param {unknown} args
   * @param {Uint8Array} [bytes]
   * @returns {Promise<any>}
   */
  callWithBytes(name, args, bytes) {
    const body = JSON.stringify(args);
    return new Promise((resolve, reject) => {
      const id = this.#nextId++;
      const open = { name, body, bytes, resolve, reject, asked: 0, timer: 0 };
      this.#openCalls.set(id, open);
      afterPicture(() => {
        if (!this.#worker) this.#start();
        else if (this.#isReady && !open.asked) this.#send(id);
      });
    });
  }

  // check makes sure that the program still answers: a phone ends workers in the
  // background without a word. ask makes a call.
  check(ask) {
    if (!this.#isReady) return;
    const silent = setTimeout(() => this.#restart('no answer after the pause'), 5000);
    ask()
      .finally(() => clearTimeout(silent))
      .catch(() => undefined); // a program that does not answer is restarted by the timer
  }

  #start() {
    this.#isReady = false;
    const mine = new Worker('/core/core-worker.js', { name: this.#name });
    this.#worker = mine;
    mine.onmessage = ({ data }) => {
      if (this.#worker === mine) this.#handleMessage(data);
    };
    mine.onerror = (e) => {
      e.preventDefault();
      if (this.#worker === mine) this.#restart(e.message || 'its file did not load');
    };
    this.#loadTimer = setTimeout(() => this.#restart('it did not load'), loadTimeout);
  }

  #handleMessage({ id, text, bytes, ready, dead: why }) {
    if (why) return this.#restart(why);
    if (ready) {
      clearTimeout(this.#loadTimer);
      this.#isReady = true;
      for (const waiting of this.#openCalls.keys()) this.#send(waiting);
      return;
    }
    const q = this.#openCalls.get(id);
    if (!q) return;
    this.#openCalls.delete(id);
    clearTimeout(q.timer);
    const answer = JSON.parse(text);
    if (answer.error) q.reject(new Fault(answer.error));
    else q.resolve({ value: answer.value, bytes });
  }

  #send(id) {
    const q = /** @type {OpenCall} */ (this.#openCalls.get(id));
    q.asked++;
    q.timer = setTimeout(() => this.#restart(`no answer to ${q.name}`), this.#callTimeout);
    this.#worker?.postMessage({ id, name: q.name, body: q.body, bytes: q.bytes });
  }

  // restart replaces a broken worker by a new one. A call that was
  // asked twice is given up: it may be what kills the program.
  #restart(why) {
    console.error(`${this.#name}:`, why);
    clearTimeout(this.#loadTimer);
    const wasReady = this.#isReady;
    this.#worker?.terminate();
    this.#worker = null;
    this.#isReady = false;
    for (const [id, q] of this.#openCalls) {
      clearTimeout(q.timer);
      if (!wasReady) q.asked++;
      if (q.asked < 2) continue;
      this.#openCalls.delete(id);
      q.reject(
        new Fault({
          code: 'unavailable',
          sentence: 'the part of the app that calculates does not answer',
          hint: 'close the app and open it again',
        }),
      );
    }
    if (this.#openCalls.size) this.#start();
  }
}
