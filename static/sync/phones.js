// The phones of the house: lists them, and pairs this one.
import { Kind } from '../dist/constants.js';
import { announceChange } from '../journal/changes.js';
import { hub } from './hub-state.js';
import { requestSync } from './sync-loop.js';
import { markAllUnsent } from '../journal/facts.js';
import { requestHub } from './hub-client.js';
import { housePhones } from '../journal/house.js';
import { deviceId, record, withdrawFacts } from '../journal/journal.js';

// pairPhone pairs this phone with a code and returns {you, batch?}: its access from now on. All its
// facts are sent again, since the hub may now accept what it refused before.
export async function pairPhone(code, name) {
  const paired = await requestHub('pair', { device: await deviceId(), name, code });
  const { role } = paired.you;
  await markAllUnsent({ letter: paired.letter, you: { role, helps: role === 'helper' }, was: true, held: null });
  announceChange();
  requestSync();
  return paired;
}

// listPhones returns the phones, and what the hub knows about them if it can be reached: {role,
// batches, seen, held}. Removed phones come last.
export async function listPhones() {
  const ownId = await deviceId();
  const hubPhones = hub.value.isReached ? await requestHub('phones') : [];
  const list = (await housePhones()).map((p) => ({
    ...hubPhones.find((s) => s.device === p.device),
    ...p,
    you: p.device === ownId,
  }));
  return [...list.filter((p) => !p.revoked.length), ...list.filter((p) => p.revoked.length)];
}

const houseDraft = (device, kind, body) => ({ scope: 'house', subject: device, kind, body });

// renamePhone, removePhone and restorePhone record the name of a phone and whether it has
// access. They take effect when the hub gets them.
export const renamePhone = (device, name) =>
  record([houseDraft(device, Kind.deviceNamed, { name })], { undo: `Renamed ${name}` });
export const removePhone = (phone) =>
  record([houseDraft(phone.device, Kind.deviceRevoked, {})], { undo: `${phone.name || 'It'} removed` });
export const restorePhone = (phone) => withdrawFacts(phone.revoked);

// quarantinedFacts returns what a phone sent after it was removed; acceptQuarantine accepts as many entries as
// were shown, since the phone may have sent more, rejectQuarantine rejects it all, and requeueRejected lets
// what was rejected wait again.
export const quarantinedFacts = (device) => requestHub(`held/${device}`);
export const acceptQuarantine = (device, facts) => requestHub(`held/${device}/accept`, { facts });
export const rejectQuarantine = (device) => requestHub(`held/${device}`, null, 'DELETE');
export const requeueRejected = (device) => requestHub(`held/${device}/recall`, {});
