import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule } from './app.mjs';

const { sizedFor, withFold, withPaint, withSections, withoutColour } = await loadModule('/fold/edit.js');

const design = {
  name: 'Snail shell',
  garment: 'tee-l',
  fold: { kind: 'spiral', center: { x: 0.1, y: 0 }, seed: 3 },
  colours: [{ name: 'rust' }, { name: 'gold' }],
  a: [0, 1],
  b: [1, 0],
};

test('a design is repeated at the size of a piece whose shape is known', () => {
  const garments = [{ garment: 'tee-l' }, { garment: 'tee-s' }];
  assert.deepEqual(sizedFor(design, 'tee-s', garments), { ...design, garment: 'tee-s' });
  assert.equal(sizedFor(design, 'socks', garments), design);
});

test('a rope has no side B, and gets one back', () => {
  const rope = withFold(design, { kind: 'rings', center: true, rope: true });
  assert.deepEqual([rope.b, rope.bound, rope.fold.center.x], [[], true, 0.1]);
  assert.deepEqual(withFold(rope, { kind: 'flat' }).b, rope.a);
});

test('sections, paint and colours change what they should and nothing else', () => {
  assert.deepEqual(withSections(design, 5).a, [0, 1, 0, 1, 0]);
  assert.deepEqual(withPaint(design, 'b', 1, -1, false), { ...design, b: [1, -1] });
  assert.deepEqual(withPaint(design, 'a', 0, 1, true), { ...design, a: [1, 1], b: [1, 0] });
  const less = withoutColour(design, 0);
  assert.deepEqual([less.a, less.b, less.colours], [[-1, 0], [0, -1], [{ name: 'gold' }]]);
});
