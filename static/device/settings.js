// How this phone prints: units, decimal sign and clock belong to the device, not
// to the journal. Each starts as the phone's language has it. So does the paper that
// its printer holds.
import { signal } from '@preact/signals';
import { showToast } from './toast.js';

const styleKey = 'coldbatch.style',
  paperKey = 'coldbatch.paper',
  alarmsKey = 'coldbatch.alarms',
  washKey = 'coldbatch.wash';

function languageDefaults() {
  const language = navigator.language || 'en';
  const hour = new Intl.DateTimeFormat(language, { hour: 'numeric' }).resolvedOptions();
  const sign = new Intl.NumberFormat(language).formatToParts(1.5).find((p) => p.type === 'decimal');
  return {
    system: /-US$/i.test(language) ? 'us' : 'metric',
    comma: sign?.value === ',',
    clock12: Boolean(hour.hour12),
  };
}

function readSetting(key) {
  try {
    return JSON.parse(localStorage.getItem(key) || 'null') || {};
  } catch {
    return {};
  }
}

// style is {system: "metric" | "us", comma, clock12}, as the core takes it.
export const style = signal({ ...languageDefaults(), ...readSetting(styleKey) });

// setStyle changes some of it and keeps that.
export function setStyle(some) {
  style.value = { ...style.value, ...some };
  writeSetting(styleKey, style.value);
}

// paper is what labels are printed on: {sheet, mono, cut, dpi, next}. dpi 0 is the usual
// resolution for that sheet; next says by sheet at which label a half-used one goes on.
export const paper = signal({
  sheet: style.value.system === 'us' ? 'letter-4x2' : 'a4-70x37',
  mono: false,
  cut: false,
  dpi: 0,
  next: {},
  ...readSetting(paperKey),
});

// setPaper changes some of it and keeps that.
export function setPaper(some) {
  paper.value = { ...paper.value, ...some };
  writeSetting(paperKey, paper.value);
}

// alarmSetting is how this phone keeps alarms: whether they sound, from when on it keeps them,
// and when each was dismissed, by its key.
export const alarmSetting = signal({
  sound: true,
  since: 0,
  dismissed: /** @type {Record<string, number>} */ ({}),
  ...readSetting(alarmsKey),
});

// setAlarmSetting changes some of it and keeps that.
export function setAlarmSetting(some) {
  alarmSetting.value = { ...alarmSetting.value, ...some };
  writeSetting(alarmsKey, alarmSetting.value);
}

// washSetting is what there is to wash with, by unit: the tub, and the dry cloth that the
// machine is rated for.
export const washSetting = signal({
  tubL: '20',
  tubgal: '5',
  machinekg: '6',
  machinelb: '13',
  ...readSetting(washKey),
});

// setWashSetting changes some of it and keeps that.
export function setWashSetting(some) {
  washSetting.value = { ...washSetting.value, ...some };
  writeSetting(washKey, washSetting.value);
}

function writeSetting(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    showToast('This browser saves no settings: they hold until you close it');
  }
}

// defaultDeviceName is what the house calls this phone until it is given a name.
export const defaultDeviceName = () => (navigator.userAgent.match(/iPhone|iPad|Android/) || ['computer'])[0];
