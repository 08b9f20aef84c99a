// Tables of a time zone's offset changes for the core, which has no zone of its
// own, made from what the browser knows.

// zoneName is the zone that this phone is set to.
export const zoneName = () => Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';

const msPerDay = 864e5;
const tableCache = new Map(); // by name and day

// zoneTable returns {name, changes: [{from, offset}]} from three years back to seven
// ahead, each change to the minute, or null where the browser does not know the
// name. now is any time of today.
export function zoneTable(name, now = Date.now()) {
  const today = Math.floor(now / msPerDay);
  const key = `${name} ${today}`;
  if (!tableCache.has(key))
    tableCache.set(key, buildTable(name, (today - 3 * 366) * msPerDay, (today + 7 * 366) * msPerDay));
  return tableCache.get(key);
}

function buildTable(name, from, to) {
  let offset;
  try {
    offset = offsetReader(name);
  } catch {
    return null;
  }
  const changes = [{ from, offset: offset(from) }];
  // Steps of a week: no zone changes twice within one.
  for (let at = from; at < to; at += 7 * msPerDay) {
    let [low, high] = [at, Math.min(at + 7 * msPerDay, to)];
    if (offset(low) === offset(high)) continue;
    while (high - low > 60e3) {
      const middle = Math.floor((low + high) / 120e3) * 60e3;
      if (offset(middle) === offset(at)) low = middle;
      else high = middle;
    }
    changes.push({ from: high, offset: offset(high) });
  }
  return { name, changes };
}

// offsetReader returns a function that maps an instant (ms, whole minutes) to the zone's offset from UTC
// in seconds, positive to the east.
function offsetReader(name) {
  if (name === zoneName()) return (at) => 0 - 60 * new Date(at).getTimezoneOffset(); // some 100 times quicker
  const formatter = new Intl.DateTimeFormat('en-US', {
    timeZone: name,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  return (at) => {
    const parts = {};
    for (const { type, value } of formatter.formatToParts(at)) parts[type] = Number(value);
    return (Date.UTC(parts.year, parts.month - 1, parts.day, parts.hour, parts.minute, parts.second) - at) / 1000;
  };
}
