import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule, settle } from './app.mjs';

const { pictureQueue } = await loadModule('/fold/picture-queue.js');

test('one picture is drawn at a time, and then only the latest that was asked for', async () => {
  const drawn = [];
  const shown = [];
  let finish;
  const draw = (request) => {
    drawn.push(request);
    return new Promise((resolve) => {
      finish = () => resolve({ value: request });
    });
  };
  const ask = pictureQueue((value) => shown.push(value), assert.fail, draw);
  for (let i = 1; i <= 20; i++) ask(i);
  assert.deepEqual(drawn, [1]);
  finish();
  await settle();
  assert.deepEqual([drawn, shown], [[1, 20], [1]]);
  finish();
  await settle();
  assert.deepEqual(shown, [1, 20]);
  ask(21);
  assert.deepEqual(drawn, [1, 20, 21]);
});

test('a fault is told unless a later picture was asked for', async () => {
  const faults = [];
  let refuse;
  const draw = () =>
    new Promise((_, reject) => {
      refuse = reject;
    });
  const ask = pictureQueue(assert.fail, (fault) => faults.push(fault), draw);
  ask(1);
  ask(2);
  refuse('first');
  await settle();
  assert.deepEqual(faults, []);
  refuse('second');
  await settle();
  assert.deepEqual(faults, ['second']);
});
