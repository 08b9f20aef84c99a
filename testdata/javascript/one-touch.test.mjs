import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule } from './app.mjs';

// A page whose clock stands where the test sets it, and that hands its listeners over.
let now = 1000;
const listeners = {};
globalThis.addEventListener = (name, handle) => (listeners[name] = handle);
globalThis.MutationObserver = class {
  observe() {
    // nothing on this page changes by itself
  }
};
globalThis.document = { documentElement: {} };
Object.defineProperty(performance, 'now', { value: () => now });
const timers = [];
globalThis.setTimeout = (f) => timers.push(f);
const frames = [];
globalThis.requestAnimationFrame = (f) => frames.push(f);
const { startOneTouch } = await loadModule('/device/one-touch.js');
const { afterPicture } = await loadModule('/core/after-picture.js');
startOneTouch();

// rest lets the page come to rest after an act.
const rest = () => {
  now += 200;
  for (let n = 0; n < 5; n++) {
    now += 30;
    for (const look of timers.splice(0)) look();
  }
};

// control is an element on the page: a button, or an input that a label may pass clicks on to.
function control(kind) {
  const marks = new Set();
  const element = {
    marks,
    matches: (selector) => selector.split(', ').includes(kind),
    setAttribute: (name) => marks.add(name),
    removeAttribute: (name) => marks.delete(name),
  };
  element.closest = (selector) => (selector.includes('a[href]') ? element : null);
  return element;
}

const send = (name, target, more = {}) => {
  let isStopped = false;
  const stop = () => {
    isStopped = true;
  };
  const point = { clientX: 100, clientY: 100, timeStamp: now, isTrusted: true };
  listeners[name]({ ...point, target, preventDefault: stop, stopImmediatePropagation: stop, ...more });
  return !isStopped;
};

// tap says whether the page's own code sees the click.
const tap = (target) => {
  send('pointerdown', target);
  send('pointerup', target);
  return send('click', target);
};

test('a second and a third tap do nothing, wherever they land', () => {
  const [save, next] = [control('button'), control('button')];
  assert.ok(tap(save));
  now += 150;
  assert.ok(!tap(save));
  now += 250;
  assert.ok(!tap(next), 'what came under the finger');
  rest();
  now += 1000;
  assert.ok(tap(next));
  rest();
  now += 1000;
});

test('a click that comes without a touch of its own is judged by its own time', () => {
  const [save, next] = [control('button'), control('button')];
  assert.ok(tap(save));
  now += 150;
  assert.ok(!send('click', save));
  now += 250;
  assert.ok(!send('click', next));
  rest();
  now += 1000;
  assert.ok(send('click', next), 'a screen reader clicks like that');
  rest();
  now += 1000;
});

test('a control that comes under the finger while it is down is not touched', () => {
  const [save, next] = [control('button'), control('button')];
  assert.ok(tap(save));
  now += 100;
  send('pointerdown', { closest: () => null }); // between the rows, which do nothing
  now += 40;
  send('pointerup', next);
  assert.ok(!send('click', next));
  rest();
  now += 1000;
});

test('a label passes its click on to its field', () => {
  const field = control('input');
  const label = control('label');
  label.control = field;
  assert.ok(tap(label));
  assert.ok(send('click', field));
  rest();
});

test('an act is marked, and what it leads to waits until the mark is drawn', () => {
  const save = control('button');
  rest();
  now += 1000;
  frames.length = 0;
  assert.ok(tap(save));
  assert.ok(save.marks.has('data-taken'));
  const begun = [];
  for (const name of ['first', 'second']) afterPicture(() => begun.push(name));
  assert.deepEqual(begun, []);
  timers.length = 0;
  frames.shift()();
  assert.deepEqual(begun, [], 'in the frame, before it is drawn');
  timers.shift()();
  assert.deepEqual(begun, ['first', 'second']);
  afterPicture(() => begun.push('third'));
  assert.deepEqual(begun, ['first', 'second', 'third'], 'nothing waits any more');
  now += 6000; // the page's looks whether it is at rest were dropped
});

test('the mark goes once what the act did is on the screen; what only opens has none', () => {
  const [save, more] = [control('button'), control('summary')];
  rest();
  now += 1000;
  assert.ok(tap(save));
  assert.ok(save.marks.has('data-taken'));
  rest();
  assert.ok(!save.marks.has('data-taken'));
  now += 1000;
  tap(more);
  assert.ok(!more.marks.has('data-taken'));
});

test('in the background, where no frame comes, what a touch leads to begins all the same', () => {
  rest();
  now += 1000;
  frames.length = timers.length = 0;
  assert.ok(tap(control('button')));
  let isBegun = false;
  afterPicture(() => {
    isBegun = true;
  });
  for (const timer of timers.splice(0)) timer();
  assert.ok(isBegun);
  rest();
});
