import assert from 'node:assert/strict';
import { mock, test } from 'node:test';
import { loadModule } from './app.mjs';

globalThis.document = Object.assign(new EventTarget(), { visibilityState: 'visible' });
mock.timers.enable({ apis: ['setInterval', 'setTimeout'] });
const { announceChange, clockTick, journalChanged } = await loadModule('/journal/changes.js');

test('times are worked out again every half minute while the app is shown, and when it is shown again', () => {
  document.dispatchEvent(new Event('visibilitychange'));
  const before = clockTick.value;
  mock.timers.tick(30_000);
  assert.equal(clockTick.value, before + 1);
  document.dispatchEvent(new Event('visibilitychange'));
  assert.equal(clockTick.value, before + 2);
});

test('new facts are announced', () => {
  const before = journalChanged.value;
  announceChange();
  assert.equal(journalChanged.value, before + 1);
});
