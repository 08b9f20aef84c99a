// The settings of this phone: units, decimal sign, clock and label paper. They belong to the
// device, not to the journal, and start with the defaults of the phone's language.
import { computed, signal } from '@preact/signals';
import { showToast } from './toast.js';

const styleKey = 'coldbatch.style',
  paperKey = 'coldbatch.paper',
  alarmsKey = 'coldbatch.alarms',
  washKey = 'coldbatch.wash',
  ownFiguresKey = 'coldbatch.own-figures';

const language = navigator.language || 'en';
const usualSystem = /-US$/i.test(language) ? 'us' : 'metric';

function languageDefaults() {
  const hour = new Intl.DateTimeFormat(language, { hour: 'numeric' }).resolvedOptions();
  const decimalPart = new Intl.NumberFormat(language).formatToParts(1.5).find((p) => p.type === 'decimal');
  return {
    system: usualSystem,
    comma: decimalPart?.value === ',',
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

const chosenStyle = signal(readSetting(styleKey));

// style is {system: "metric" | "us", comma, clock12}, in the form that the core expects. It is worked out when
// it is first asked for: a browser takes long to say for the first time how a language writes times.
export const style = computed(() => ({ ...languageDefaults(), ...chosenStyle.value }));

// setStyle changes some of these settings and saves them.
export function setStyle(changes) {
  chosenStyle.value = { ...style.value, ...changes };
  writeSetting(styleKey, chosenStyle.value);
}

// paper is what labels are printed on: {sheet, mono, cut, dpi, next}. dpi 0 means the default
// resolution of that sheet; next holds the first free label of a half-used sheet, by the sheet's
// name.
export const paper = signal({
  sheet: (chosenStyle.value.system ?? usualSystem) === 'us' ? 'letter-4x2' : 'a4-70x37',
  mono: false,
  cut: false,
  dpi: 0,
  next: {},
  ...readSetting(paperKey),
});

// setPaper changes some of these settings and saves them.
export function setPaper(changes) {
  paper.value = { ...paper.value, ...changes };
  writeSetting(paperKey, paper.value);
}

// alarmSetting says how this phone keeps alarms: whether they sound, from when on it keeps them,
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

// setWashSetting changes some wash settings and stores them.
export function setWashSetting(some) {
  washSetting.value = { ...washSetting.value, ...some };
  writeSetting(washKey, washSetting.value);
}

// ownFigures says whether this phone corrects the pictures of folds by the dyer's own results.
export const ownFigures = signal({ white: true, ...readSetting(ownFiguresKey) });

// setOwnFigures changes that and stores it.
export function setOwnFigures(some) {
  ownFigures.value = { ...ownFigures.value, ...some };
  writeSetting(ownFiguresKey, ownFigures.value);
}

function writeSetting(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    showToast('This browser cannot save settings: they last until you close it');
  }
}

// defaultDeviceName names this phone until the person gives it a name.
export const defaultDeviceName = () => (navigator.userAgent.match(/iPhone|iPad|Android/) || ['computer'])[0];
