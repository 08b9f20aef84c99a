// What the core must be told with every question: the time, the zone, the places,
// how this phone prints, who it is, and what the house weighs and fills with.
import { hubNow } from './clock.js';
import { meta } from './db.js';
import { style } from '../device/settings.js';
import { loadPlaces, loadShelfState } from './states.js';
import { zoneTable, zoneName } from '../core/zone.js';

// coreEnv gives {now, zone, places, style, host, device, letter, kit}.
export async function coreEnv() {
  const known = await meta.get('device', 'letter', 'hub', 'zone');
  const at = await hubNow();
  return {
    now: at,
    zone: houseZone(known.zone, at),
    places: await loadPlaces(),
    style: style.value,
    host: labelHost(known.hub),
    device: known.device || '',
    letter: known.letter || '',
    kit: (await loadShelfState())?.kit,
  };
}

// houseZone gives the zone that times are shown in: that of the house, where the
// bags stand. A hub on a bare board often stands at UTC; then the phone knows
// better.
function houseZone(house, at) {
  const name = house?.name && !/^(UTC|GMT|Etc\/.*)$/.test(house.name) ? house.name : zoneName();
  return zoneTable(name, at) || (house?.name === name && house) || { name: 'UTC', changes: [] };
}

// labelHost gives the name that labels bear.
const labelHost = (hub) => (hub?.host ? `${hub.host}:${hub.https}` : 'coldbatch.local:8443');
