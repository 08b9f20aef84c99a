// What the core must be told with every question: the time, the zone, the places,
// how this phone prints, who it is, and what the house weighs and fills with.
import { hubNow } from './clock.js';
import { meta } from './db.js';
import { style } from '../device/settings.js';
import { squeeze } from '../device/squeeze.js';
import { loadPlaces, loadShelfState } from './states.js';
import { zoneTable, zoneName } from '../core/zone.js';

// coreEnv returns {now, zone, places, style, host, device, letter, kit, squeeze}.
export async function coreEnv() {
  const saved = await meta.get('device', 'letter', 'hub', 'zone');
  const at = await hubNow();
  return {
    now: at,
    zone: houseZone(saved.zone, at),
    places: await loadPlaces(),
    style: style.value,
    host: labelHost(saved.hub),
    device: saved.device || '',
    letter: saved.letter || '',
    kit: (await loadShelfState())?.kit,
    squeeze: squeeze.value,
  };
}

// houseZone returns the time zone in which times are shown, which is the zone of the house. A small computer is
// often left at UTC; then the phone's own zone is used.
function houseZone(house, at) {
  const name = house?.name && !/^(UTC|GMT|Etc\/.*)$/.test(house.name) ? house.name : zoneName();
  return zoneTable(name, at) || (house?.name === name && house) || { name: 'UTC', changes: [] };
}

// labelHost returns the host name that is printed on labels.
const labelHost = (hub) => (hub?.host ? `${hub.host}:${hub.https}` : 'coldbatch.local:8443');
