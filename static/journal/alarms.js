// Alarms of this phone while the app is open: what is due, what was missed while the app was
// closed, and what was already dismissed. The core says at which times a hand is wanted.
import { signal, effect } from '@preact/signals';
import { call } from '../core/core.js';
import { exampleMode } from '../device/example-mode.js';
import { alarmSetting, setAlarmSetting } from '../device/settings.js';
import { allowSound, ring, stopRinging } from '../device/ring.js';
import { showFault } from '../device/toast.js';
import { clockTick, journalChanged } from './changes.js';
import { coreEnv } from './env.js';
import { hubNow } from './clock.js';
import { loadBatches } from './states.js';
/** @import { Alarm } from '../dist/calls.d.ts' */

const forgetAfter = 90 * 24 * 3600e3; // ms for which the phone knows what was dismissed

// dueAlarms are the alarms whose time has come and that nobody has dismissed, the missed ones
// first; missed is how many came while the app was closed or hidden.
export const dueAlarms = signal(/** @type {{list: Alarm[], missed: number}} */ ({ list: [], missed: 0 }));

/** @type {Alarm[]} */
let alarms = [];
let shownSince = 0; // by the hub's clock; what came before was missed

const listAlarms = async () => call('alarms.list', { states: await loadBatches(), env: await coreEnv() });

// isDue says whether an alarm's time has come and it was not dismissed at that time or
// later. What was due before the phone first kept alarms is past.
const isDue = ({ key, at }, now) =>
  at <= now && at >= alarmSetting.value.since && !(alarmSetting.value.dismissed[key] >= at);

// checkAlarms shows what is due, and rings for what came while the app was shown.
async function checkAlarms() {
  const now = await hubNow();
  if (!alarms.some((a) => isDue(a, now))) {
    if (dueAlarms.value.list.length) dueAlarms.value = { list: [], missed: 0 };
    stopRinging();
    return;
  }
  const known = new Set(dueAlarms.value.list.map((a) => a.key));
  const due = (await listAlarms()).filter((a) => isDue(a, now)); // again, for how long ago each is
  const missed = due.filter((a) => a.at < shownSince).length;
  dueAlarms.value = { list: due, missed };
  if (due.some((a) => a.at >= shownSince && !known.has(a.key))) ring(!alarmSetting.value.sound);
}

// dismissAlarms takes all that are shown as seen. One of them rings again if a reading moves
// it to a later time.
export async function dismissAlarms() {
  stopRinging();
  const now = await hubNow();
  const dismissed = Object.fromEntries(
    Object.entries(alarmSetting.value.dismissed).filter(([, at]) => at > now - forgetAfter),
  );
  for (const { key, at } of dueAlarms.value.list) dismissed[key] = Math.max(at, now);
  dueAlarms.value = { list: [], missed: 0 };
  setAlarmSetting({ dismissed });
}

// watchAlarms keeps alarms for as long as the app runs.
export async function watchAlarms() {
  if (exampleMode) return;
  shownSince = await hubNow();
  if (!alarmSetting.value.since) setAlarmSetting({ since: shownSince });
  document.addEventListener('visibilitychange', async () => {
    if (document.visibilityState === 'visible') shownSince = await hubNow();
    else stopRinging();
  });
  const onlyShown = (work) => () => {
    if (document.visibilityState === 'visible') work().catch(showFault);
  };
  const reload = onlyShown(async () => {
    alarms = await listAlarms();
    if (alarms.length > 0) allowSound();
    await checkAlarms();
  });
  const check = onlyShown(checkAlarms);
  effect(() => {
    journalChanged.value;
    reload();
  });
  effect(() => {
    clockTick.value;
    check();
  });
}
