// The phones of the house: which there are, and how this one gets in.
import { Kind } from '../dist/constants.js';
import { announceChange } from '../journal/changes.js';
import { hub } from './hub-state.js';
import { requestSync } from './sync-loop.js';
import { markAllUnsent } from '../journal/facts.js';
import { requestHub } from './hub-client.js';
import { housePhones } from '../journal/house.js';
import { deviceId, record, withdrawFacts } from '../journal/journal.js';

// pairPhone lets this phone in by a code and gives {you, batch?}: what it may do then.
// Whatever it has is sent again: the hub may take of it now what it did not before.
export async function pairPhone(code, name) {
  const paired = await requestHub('pair', { device: await deviceId(), name, code });
  const { role } = paired.you;
  await markAllUnsent({ letter: paired.letter, you: { role, helps: role === 'helper' }, was: true, held: null });
  announceChange();
  requestSync();
  return paired;
}

// listPhones gives the phones with what the hub says of them besides, where it is
// reached: {role, batches, seen, held}. Those that are let in no more come last.
export async function listPhones() {
  const mine = await deviceId();
  const said = hub.value.ok ? await requestHub('phones') : [];
  const list = (await housePhones()).map((p) => ({
    ...said.find((s) => s.device === p.device),
    ...p,
    you: p.device === mine,
  }));
  return [...list.filter((p) => !p.revoked.length), ...list.filter((p) => p.revoked.length)];
}

const houseDraft = (device, kind, body) => ({ scope: 'house', subject: device, kind, body });

// renamePhone, removePhone and readmitPhone record the name of a phone and whether it has
// access. They take effect when the hub gets them.
export const renamePhone = (device, name) =>
  record([houseDraft(device, Kind.deviceNamed, { name })], { undo: `Renamed ${name}` });
export const removePhone = (phone) =>
  record([houseDraft(phone.device, Kind.deviceRevoked, {})], { undo: `${phone.name || 'It'} removed` });
export const readmitPhone = (phone) => withdrawFacts(phone.revoked);

// quarantinedFacts gives what a phone sent after it was removed; acceptQuarantine accepts it,
// rejectQuarantine rejects it, and requeueRejected lets what was rejected wait again.
export const quarantinedFacts = (device) => requestHub(`held/${device}`);
export const acceptQuarantine = (device) => requestHub(`held/${device}/accept`, {});
export const rejectQuarantine = (device) => requestHub(`held/${device}`, null, 'DELETE');
export const requeueRejected = (device) => requestHub(`held/${device}/recall`, {});
