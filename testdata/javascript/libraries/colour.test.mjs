// Our colour tables against a general-purpose library: CIELAB of the named colours of CSS, as package
// colour works it out, and the pairs of Sharma, Wu and Dalal.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import test from 'node:test';
import { converter, differenceCiede2000, parseHex } from 'culori';

async function loadTable(name) {
  const text = await readFile(new URL(`../../ref/${name}`, import.meta.url), 'utf8');
  const [head, ...rows] = text
    .trim()
    .split('\n')
    .filter((line) => !line.startsWith('#'))
    .map((line) => line.split('\t'));
  return rows.map((row) => Object.fromEntries(head.map((key, i) => [key, row[i]])));
}

test('CIELAB of the named colours', async () => {
  const toLab = converter('lab65');
  const rows = await loadTable('css-keywords.tsv');
  assert.equal(rows.length, 148);
  for (const row of rows) {
    const { l, a, b } = toLab(parseHex(row.srgb));
    const apart = Math.hypot(l - row.l, a - row.a, b - row.b);
    assert.ok(apart <= 0.05, `${row.keyword}: ${[l, a, b]} and ${[row.l, row.a, row.b]} are ${apart} apart`);
  }
});

test('CIEDE2000 of the published pairs', async () => {
  const difference = differenceCiede2000();
  const rows = await loadTable('ciede2000-pairs.tsv');
  assert.equal(rows.length, 34);
  const lab = (row, n) => ({ mode: 'lab65', l: +row[`l${n}`], a: +row[`a${n}`], b: +row[`b${n}`] });
  for (const row of rows) {
    const got = difference(lab(row, 1), lab(row, 2));
    assert.ok(Math.abs(got - row.de00) <= 1e-4, `${JSON.stringify(row)}: ${got}`);
  }
});
