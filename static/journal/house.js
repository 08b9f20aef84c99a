// The phones of the house, as its facts tell.
import { call } from '../core/core.js';
import { ofScope } from './facts.js';
import { device } from './journal.js';

// phones gives the phones of the house as this phone knows them, in the order in
// which they joined: {device, name, letter, joined, revoked}.
export const phones = async () => call('house.fold', { facts: await ofScope('house') });

// names gives what phones are called, by device.
export async function names() {
  const mine = await device();
  const all = (await phones()).filter((p) => p.name).map((p) => [p.device, p.name]);
  return { ...Object.fromEntries(all), [mine]: 'this phone' };
}
