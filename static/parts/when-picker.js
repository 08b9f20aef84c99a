// When something happened: now, a while ago, or at a time; never in the future.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { hubNow } from '../journal/clock.js';
import { Chips } from './choice.js';
import { Field } from './field.js';

const minute = 60e3; // ms
const day = 24 * 60 * minute;

const options = [
  { value: 'now', words: 'now' },
  { value: '10', words: '10 min ago' },
  { value: '30', words: 'half an hour ago' },
  { value: 'time', words: 'at a time' },
];

/** lastTime returns the last moment at which the clock showed a time such as "14:05". */
function lastTime(text, now) {
  const [hours, minutes] = text.split(':').map(Number);
  const at = new Date(now);
  at.setHours(hours, minutes, 0, 0);
  return at.getTime() > now ? at.getTime() - day : at.getTime();
}

/**
 * useWhen holds when something happened. read returns it in ms by the hub's clock, or undefined for now; once what
 * happened is recorded, reset goes back to now.
 */
export function useWhen() {
  const [choice, setChoice] = useState('now');
  const [time, setTime] = useState('');
  const read = async () => {
    if (choice === 'now' || (choice === 'time' && !time)) return undefined;
    const now = await hubNow();
    return choice === 'time' ? lastTime(time, now) : now - Number(choice) * minute;
  };
  const reset = () => {
    setChoice('now');
    setTime('');
  };
  return { choice, setChoice, time, setTime, read, reset };
}

/** WhenPicker offers it folded up; of is what useWhen gave. */
export const WhenPicker = ({ of, label = 'When' }) => html`<details class="when">
  <summary>${label}: ${of.choice === 'time' && of.time ? of.time : options.find((o) => o.value === of.choice)?.words}
  </summary>
  <${Chips} label=${label} options=${options} value=${of.choice} onChange=${(v) => of.setChoice(v || 'now')} />
  ${
    of.choice === 'time' &&
    html`<${Field} label="Time by the clock" type="time" value=${of.time} onInput=${of.setTime}
      help="today, or yesterday if it is still to come today" />`
  }
</details>`;
