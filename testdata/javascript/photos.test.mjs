import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { doNothing, loadModule } from './app.mjs';
import './core.mjs';
import { fakeStorage } from './fake-storage.mjs';

const storage = fakeStorage({ flushAtOnce: true });
globalThis.indexedDB = storage.indexedDB;
globalThis.document ??= { visibilityState: 'visible', addEventListener: doNothing };
const { loadPhoto, savePhoto } = await loadModule('/sync/photos.js');

/** photoOf returns bytes that begin as a JPEG of so many pixels a side does (ISO/IEC 10918-1, B.2). */
const photoOf = (side, text) =>
  Buffer.concat([
    Buffer.from([255, 216, 255, 192, 0, 11, 8, side >> 8, side & 255, side >> 8, side & 255]),
    Buffer.from(text),
  ]);
const hashOf = (content) => createHash('sha256').update(content).digest('hex');
const bytes = photoOf(8, 'an invented photo');
const hash = hashOf(bytes);
const hubGives = (body) => {
  globalThis.fetch = async () => new Response(body, { headers: { 'Content-Type': 'image/jpeg' } });
};

test('a photo from the hub that does not match its hash is neither shown nor stored', async () => {
  const { error } = console;
  console.error = doNothing;
  hubGives(photoOf(8, 'another photo'));
  assert.equal(await loadPhoto(hash), null);
  console.error = error;
  assert.equal(storage.rows('photos').size, 0);
});

test('the right photo is shown and stored', async () => {
  hubGives(bytes);
  const blob = await loadPhoto(hash);
  assert.deepEqual(Buffer.from(await blob.arrayBuffer()), bytes);
  assert.equal(blob.type, 'image/jpeg');
  assert.ok(storage.rows('photos').get(hash));
  assert.equal(storage.rows('photos').get(hash).pending, undefined, 'the hub has it');
});

test('a photo taken on this phone is stored under its hash and is unsent', async () => {
  const taken = photoOf(8, 'taken here');
  const name = await savePhoto(new Blob([taken], { type: 'image/jpeg' }));
  assert.equal(name, hashOf(taken));
  assert.equal(storage.rows('photos').get(name).pending, 1);
});

test('a picture of few bytes that would fill the memory is not stored, from a hub or from a file', async () => {
  const many = photoOf(65500, 'few bytes');
  const before = storage.rows('photos').size;
  const { error } = console;
  console.error = doNothing;
  hubGives(many);
  assert.equal(await loadPhoto(hashOf(many)), null);
  console.error = error;
  await assert.rejects(savePhoto(new Blob([many])), /too large/);
  assert.equal(storage.rows('photos').size, before);
});
