// The ways in which a picture is read before the code reader gives up.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { createContext, runInContext } from 'node:vm';
import { appFolder } from './app.mjs';

const scripts = ['scan-options.js', 'qr-decode.js', 'finder-repair.js'];
const text = scripts.map((name) => readFileSync(new URL(`scan/${name}`, appFolder), 'utf8')).join('\n');
const { readPicture, sharpen } = runInContext(`${text}\n({ readPicture, sharpen });`, createContext({}));

const width = 12;
const height = 9;
const pictureOf = (light) => {
  const data = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let i = 0; i < width * height; i++) data.fill(light(i % width, Math.floor(i / width)), 4 * i, 4 * i + 3);
  return { data, width, height };
};

test('each pixel differs five times as much from the mean of the five by five around it', () => {
  const light = (x, y) => 90 + ((7 * x + 11 * y + x * y) % 23);
  const { data } = sharpen(pictureOf(light));
  for (let y = 2; y < height - 2; y++)
    for (let x = 2; x < width - 2; x++) {
      let sum = 0;
      for (let dy = -2; dy <= 2; dy++) for (let dx = -2; dx <= 2; dx++) sum += light(x + dx, y + dy);
      const expected = Math.min(255, Math.max(0, sum / 25 + 5 * (light(x, y) - sum / 25)));
      const got = data[4 * (y * width + x)];
      assert.ok(Math.abs(got - expected) <= 1, `${got} at ${x}, ${y}, not ${expected}`);
    }
});

test('every frame is read as it is, every fourth also sharpened; a photo is read in both ways at once', async () => {
  const picture = pictureOf((x) => 20 * x);
  const looks = async (how, turn) => {
    const seen = [];
    await readPicture(
      async (way) => {
        seen.push(way.data);
        return [];
      },
      picture,
      how,
      turn,
    );
    return seen;
  };
  const sharp = String(sharpen(picture).data);
  const isSharp = (seen) => seen.some((data) => String(data) === sharp);
  const live = await Promise.all([0, 1, 2, 3, 4, 5].map((turn) => looks('live', turn)));
  for (const seen of live) assert.equal(seen[0], picture.data);
  assert.deepEqual(live.map(isSharp), [false, true, false, false, false, true]);
  assert.ok(isSharp(await looks('photo', 0)));
});

test('a code that is found in the plain picture needs no second attempt, and its centre is returned', async () => {
  let reads = 0;
  const position = { topLeft: { x: 10, y: 20 }, bottomRight: { x: 30, y: 60 } };
  const read = async () => {
    reads++;
    return [
      { isValid: false, text: 'torn', position },
      { isValid: true, text: 'whole', position },
    ];
  };
  const found = await readPicture(
    read,
    pictureOf(() => 128),
    'photo',
    0,
  );
  assert.equal(JSON.stringify(found), JSON.stringify([{ text: 'whole', x: 20, y: 40 }]));
  assert.equal(reads, 1);
});
