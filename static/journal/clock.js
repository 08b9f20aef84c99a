// The hub's time. Two clocks in one house may differ a little; a phone's clock that is further off
// is corrected by what the last exchange measured.
import { signal } from '@preact/signals';
import { clockSlack } from '../dist/constants.js';
import { meta } from './db.js';

// clockOffset says how far the hub's clock is ahead of the phone's in ms, or 0 if that is within the
// slack.
export const clockOffset = signal(0);

/** @type {{offset?: number, measured?: number} | null} */
let measurement = null;

// loadMeasurement returns the last measurement of the hub's clock, in the form of a fact's author.
export async function loadMeasurement() {
  measurement ??= await meta.get('offset', 'measured');
  const { offset = 0, measured = 0 } = measurement || {};
  clockOffset.value = Math.abs(offset) < clockSlack ? 0 : offset;
  return { offset, measured };
}

// saveMeasurement saves a measurement made now.
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

// latestTime is the latest time by the hub's clock that this phone knows. Stamps are compared with
// it, so that none seems ahead just because the clock was set back.
export async function latestTime() {
  const { latest = 0 } = await meta.get('latest');
  return Math.max(await hubNow(), latest);
}

// toPhoneTime turns a time by the hub's clock into the phone's own, as facts are written.
export const toPhoneTime = (at) => at - clockOffset.value;
