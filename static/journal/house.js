// The phones and the calendars of the house, from its facts.
import { call } from '../core/core.js';
import { latestTime } from './clock.js';
import { factsOfScope } from './facts.js';
import { deviceId } from './journal.js';

// housePhones returns the phones of the house that this phone knows, in the order in which they
// joined: {device, name, letter, joined, revoked}.
export const housePhones = async () =>
  call('house.listPhones', { facts: await factsOfScope('house'), now: await latestTime() });

// phoneNames returns the names of the phones, by device.
export async function phoneNames() {
  const ownId = await deviceId();
  const names = (await housePhones()).filter((p) => p.name).map((p) => [p.device, p.name]);
  return { ...Object.fromEntries(names), [ownId]: 'this phone' };
}

// houseCalendars returns the calendars that are open: {name, hash, fact}.
export const houseCalendars = async () =>
  call('house.listCalendars', { facts: await factsOfScope('house'), now: await latestTime() });
