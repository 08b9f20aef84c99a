// The time as the hub has it. Two clocks in one house may differ by a little; a
// phone's that is further off is put right by what the last exchange measured.
import { signal } from '@preact/signals';
import { meta } from './db.js';

const slack = 2 * 60e3; // ms, as the core's own ClockSlack

// clockOff is how far the hub's clock is ahead of the phone's in ms, and 0 where
// that is within the slack.
export const clockOff = signal(0);

let measured = null; // {offset, measured}

// measure gives what is known of the hub's clock, as a fact's author has it.
export async function measure() {
  measured ??= await meta.get('offset', 'measured');
  clockOff.value = Math.abs(measured.offset || 0) < slack ? 0 : measured.offset;
  return { offset: measured.offset || 0, measured: measured.measured || 0 };
}

// remember keeps a measurement made now.
export async function remember(offset) {
  measured = { offset: Math.round(offset), measured: Date.now() };
  await meta.set(measured);
  return measure();
}

// now is the time by the hub's clock, as the core's env has it.
export async function now() {
  await measure();
  return Date.now() + clockOff.value;
}

// own turns a time by the hub's clock into the phone's own, as facts are written.
export const own = (at) => at - clockOff.value;
