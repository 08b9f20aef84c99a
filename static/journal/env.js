// What the core must be told with every question: the time, the zone, the places,
// how this phone prints, and who it is.
import { now } from './clock.js';
import { meta } from './db.js';
import { style } from '../device/settings.js';
import { places } from './states.js';
import { table, zoneName } from '../core/zone.js';

// env gives {now, zone, places, style, host, device, letter}.
export async function env() {
  const known = await meta.get('device', 'letter', 'hub', 'zone');
  const at = await now();
  return {
    now: at,
    zone: clockOf(known.zone, at),
    places: await places(),
    style: style.value,
    host: hostOf(known.hub),
    device: known.device || '',
    letter: known.letter || '',
  };
}

// clockOf gives the zone that times are shown in: that of the house, where the
// bags stand. A hub on a bare board often stands at UTC; then the phone knows
// better.
function clockOf(house, at) {
  const name = house?.name && !/^(UTC|GMT|Etc\/.*)$/.test(house.name) ? house.name : zoneName();
  return table(name, at) || (house?.name === name && house) || { name: 'UTC', changes: [] };
}

// hostOf gives the name that labels bear.
const hostOf = (hub) => (hub?.host ? `${hub.host}:${hub.https}` : 'coldbatch.local:8443');
