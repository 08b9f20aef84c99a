import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadModule } from './app.mjs';

// The zone of the phone is read from its clock, any other from Intl, which is much slower.
const zones = [
  'UTC',
  'Europe/Lisbon',
  'America/St_Johns', // half hours
  'Australia/Lord_Howe', // a change by half an hour
  'Africa/Casablanca', // two changes within five weeks
  'Pacific/Kiritimati', // fourteen hours ahead
];

test('a zone has the same changes whether or not it is that of the phone', async () => {
  const today = Date.now();
  for (const name of zones) {
    const tables = [];
    for (const own of [name, 'Asia/Tokyo']) {
      process.env.TZ = own;
      const { zoneName, zoneTable } = await loadModule(`/core/zone.js?${name}-${own}`);
      assert.equal(zoneName(), own);
      tables.push(zoneTable(name, today));
    }
    assert.deepEqual(tables[0], tables[1], name);
    assert.ok(tables[0].changes.length > 0);
  }
});
