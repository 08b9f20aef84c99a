// The sums and the journal's rules, asked of the core in its worker: call(name,
// args) gives the value or throws a Fault. A worker that dies or hangs is
// replaced and its open calls are asked once more.
import { Fault } from './fault.js';

const patience = 20e3; // ms for one call
const loading = 90e3; // ms for the core to load on a slow network

let worker = null;
let ready = false;
let next = 1;
let loadTimer = 0;
const open = new Map(); // id → {name, body, resolve, reject, asked, timer}

// call asks the core. All calls are pure: asking twice does no harm.
export function call(name, args = {}) {
  const body = JSON.stringify(args);
  return new Promise((resolve, reject) => {
    const id = next++;
    open.set(id, { name, body, resolve, reject, asked: 0, timer: 0 });
    if (!worker) start();
    else if (ready) ask(id);
  });
}

// alive makes sure that the core still answers: a phone ends workers in the
// background without a word.
export function alive() {
  if (!ready) return;
  const silent = setTimeout(() => dead('no answer after the pause'), 5000);
  call('about')
    .finally(() => clearTimeout(silent))
    .catch(() => {});
}

function start() {
  ready = false;
  const mine = new Worker('/core/core-worker.js');
  worker = mine;
  mine.onmessage = ({ data }) => {
    if (worker === mine) heard(data);
  };
  mine.onerror = (e) => {
    e.preventDefault();
    if (worker === mine) dead(e.message || 'its file did not load');
  };
  loadTimer = setTimeout(() => dead('it did not load'), loading);
}

function heard({ id, text, ready: isReady, dead: why }) {
  if (why) return dead(why);
  if (isReady) {
    clearTimeout(loadTimer);
    ready = true;
    for (const waiting of open.keys()) ask(waiting);
    return;
  }
  const q = open.get(id);
  if (!q) return;
  open.delete(id);
  clearTimeout(q.timer);
  const answer = JSON.parse(text);
  if (answer.error) q.reject(new Fault(answer.error));
  else q.resolve(answer.value);
}

function ask(id) {
  const q = open.get(id);
  q.asked++;
  q.timer = setTimeout(() => dead(`no answer to ${q.name}`), patience);
  worker.postMessage({ id, name: q.name, body: q.body });
}

// dead puts a new worker in the place of one that is no good. A call that was
// asked twice is given up: it may be what kills the core.
function dead(why) {
  console.error('core:', why);
  clearTimeout(loadTimer);
  const wasReady = ready;
  worker.terminate();
  worker = null;
  ready = false;
  for (const [id, q] of open) {
    clearTimeout(q.timer);
    if (!wasReady) q.asked++;
    if (q.asked < 2) continue;
    open.delete(id);
    q.reject(
      new Fault({
        code: 'unavailable',
        sentence: 'the part of the app that does the sums does not answer',
        hint: 'close the app and open it again',
      }),
    );
  }
  if (open.size) start();
}
