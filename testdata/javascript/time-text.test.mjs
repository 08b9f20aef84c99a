import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule } from './app.mjs';

process.env.TZ = 'Europe/Lisbon';
const { setStyle } = await loadModule('/device/settings.js');
const { dateAndTime, timeOfDay } = await loadModule('/parts/time-text.js');

test('a time of day has hours and minutes, in the clock that the phone is set to', () => {
  const afternoon = Date.UTC(2024, 0, 9, 15, 4);
  setStyle({ clock12: false });
  assert.equal(timeOfDay(afternoon), '15:04');
  assert.equal(dateAndTime(afternoon), '9 Jan, 15:04');
  setStyle({ clock12: true });
  assert.match(timeOfDay(afternoon), /^3:04\spm$/);
});
