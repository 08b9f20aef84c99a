// The phones of the house: which there are, and how this one gets in.
import { bump } from '../journal/changes.js';
import { meta } from '../journal/db.js';
import { hub } from './hub-state.js';
import { kick } from './sync-loop.js';
import { sendAll } from '../journal/facts.js';
import { ask } from './hub-client.js';
import { phones } from '../journal/house.js';
import { device, record, takeBack } from '../journal/journal.js';

// pair lets this phone in by a code and gives {you, batch?}: what it may do then.
// Whatever it has is sent again: the hub may take of it now what it did not before.
export async function pair(code, name) {
  const paired = await ask('pair', { device: await device(), name, code });
  const { role } = paired.you;
  await sendAll({ letter: paired.letter, you: { role, helps: role === 'helper' }, was: true, held: null });
  bump();
  kick();
  return paired;
}

// everyPhone gives the phones with what the hub says of them besides, where it is
// reached: {role, batches, seen, held}. Those that are let in no more come last.
export async function everyPhone() {
  const mine = await device();
  const said = hub.value.ok ? await ask('phones') : [];
  const list = (await phones()).map((p) => ({
    ...said.find((s) => s.device === p.device),
    ...p,
    you: p.device === mine,
  }));
  return [...list.filter((p) => !p.revoked.length), ...list.filter((p) => p.revoked.length)];
}

const fact = (device, kind, body) => ({ scope: 'house', subject: device, kind, body });

// rename, letOut and letIn write in the house what a phone is called and whether
// it is let in. They hold from when the hub hears of it.
export const rename = (device, name) =>
  record([fact(device, 'device.named', { name })], { undo: `It is called ${name}` });
export const letOut = (phone) =>
  record([fact(phone.device, 'device.revoked', {})], { undo: `${phone.name || 'It'} is let in no more` });
export const letIn = (phone) => takeBack(phone.revoked);

// held gives what a phone that is let in no more has sent since, acceptHeld takes
// that in, discardHeld leaves it out, recallHeld lets what was left out wait again.
export const held = (device) => ask(`held/${device}`);
export const acceptHeld = (device) => ask(`held/${device}/accept`, {});
export const discardHeld = (device) => ask(`held/${device}`, null, 'DELETE');
export const recallHeld = (device) => ask(`held/${device}/recall`, {});
