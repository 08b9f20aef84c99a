// How this phone prints: units, decimal sign and clock belong to the device, not
// to the journal. Each starts as the phone's language has it.
import {signal} from '@preact/signals';

const key = 'coldbatch.style';

function usual() {
  const language = navigator.language || 'en';
  const hour = new Intl.DateTimeFormat(language, { hour: 'numeric' }).resolvedOptions();
  const sign = new Intl.NumberFormat(language).formatToParts(1.5).find((p) => p.type === 'decimal');
  return { system: /-US$/i.test(language) ? 'us' : 'metric', comma: sign?.value === ',', clock12: Boolean(hour.hour12) };
}

function kept() {
  try { return JSON.parse(localStorage.getItem(key)) || {}; } catch { return {}; }
}

// style is {system: "metric" | "us", comma, clock12}, as the core takes it.
export const style = signal({ ...usual(), ...kept() });

// setStyle changes some of it and keeps that.
export function setStyle(some) {
  style.value = { ...style.value, ...some };
  try { localStorage.setItem(key, JSON.stringify(style.value)); } catch { /* a private window: it holds until it is closed */ }
}

// deviceName is what the house calls this phone until it is given a name.
export const deviceName = () => (navigator.userAgent.match(/iPhone|iPad|Android/) || ['computer'])[0];
