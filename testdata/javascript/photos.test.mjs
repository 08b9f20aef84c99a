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

const bytes = new TextEncoder().encode('an invented photo');
const hash = createHash('sha256').update(bytes).digest('hex');
const hubGives = (body) => {
  globalThis.fetch = async () => new Response(body, { headers: { 'Content-Type': 'image/jpeg' } });
};

test('a photo from the hub that does not match its hash is neither shown nor stored', async () => {
  const { error } = console;
  console.error = doNothing;
  hubGives(new TextEncoder().encode('another photo'));
  assert.equal(await loadPhoto(hash), null);
  console.error = error;
  assert.equal(storage.rows('photos').size, 0);
});

test('the right photo is shown and stored', async () => {
  hubGives(bytes);
  const blob = await loadPhoto(hash);
  assert.equal(await blob.text(), 'an invented photo');
  assert.equal(blob.type, 'image/jpeg');
  assert.ok(storage.rows('photos').get(hash));
  assert.equal(storage.rows('photos').get(hash).pending, undefined, 'the hub has it');
});

test('a photo taken on this phone is stored under its hash and is unsent', async () => {
  const own = new Blob(['taken here'], { type: 'image/jpeg' });
  const name = await savePhoto(own);
  assert.equal(name, createHash('sha256').update('taken here').digest('hex'));
  assert.equal(storage.rows('photos').get(name).pending, 1);
});
