// The time as the hub has it. Two clocks in one house may differ by a little; a
// phone's that is further off is put right by what the last exchange measured.
import { signal } from '@preact/signals';
import { clockSlack } from '../dist/constants.js';
import { meta } from './db.js';

// clockOffset is how far the hub's clock is ahead of the phone's in ms, and 0 where
// that is within the slack.
export const clockOffset = signal(0);

/** @type {{offset?: number, measured?: number} | null} */
let measurement = null;

// loadMeasurement gives what is known of the hub's clock, as a fact's author has it.
export async function loadMeasurement() {
  measurement ??= await meta.get('offset', 'measured');
  const { offset = 0, measured = 0 } = measurement || {};
  clockOffset.value = Math.abs(offset) < clockSlack ? 0 : offset;
  return { offset, measured };
}

// saveMeasurement keeps a measurement made now.
export async function saveMeasurement(offset) {
  measurement = { offset: Math.round(offset), measured: Date.now() };
  await meta.set(measurement);
  return loadMeasurement();
}

// hubNow is the time by the hub's clock, as the core's env has it.
export async function hubNow() {
  await loadMeasurement();
  return Date.now() + clockOffset.value;
}

// latestTime is the latest time by the hub's clock that this phone knows. Stamps are judged
// by it, so that a clock that was set back makes none look ahead.
export async function latestTime() {
  const { latest = 0 } = await meta.get('latest');
  return Math.max(await hubNow(), latest);
}

// toPhoneTime turns a time by the hub's clock into the phone's own, as facts are written.
export const toPhoneTime = (at) => at - clockOffset.value;
