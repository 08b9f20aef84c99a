// What a piece is made of: one fibre, or a blend as the label in it says.
import { html, capitalize } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { Field } from './field.js';
/** @import { Fault } from '../core/fault.js' */

const usual = [
  'cotton',
  'linen',
  'viscose',
  '60 % cotton, 40 % polyester',
  '95 % cotton, 5 % elastane',
  'silk',
  'wool',
];

/** useMadeOf takes [text, setText], and returns how the core reads it: {reading} or {fault}. */
export function useMadeOf([typed, setTyped]) {
  const [read, setRead] = useState(/** @type {{reading?: any, fault?: Fault}} */ ({}));
  useEffect(() => {
    let current = true;
    call('blend.parse', { typed }).then(
      (reading) => current && setRead({ reading }),
      (err) => current && setRead({ fault: asFault(err) }),
    );
    return () => {
      current = false;
    };
  }, [typed]);
  return { typed, setTyped, ...read };
}

/** MadeOf asks what a piece is made of and says how such cloth comes out. */
export const MadeOf = ({ form: { typed, setTyped, reading, fault } }) => html`<details open=${typed !== 'cotton'}>
  <summary>Made of: ${reading?.words || typed}</summary>
  <${Field} label="Made of" value=${typed} onInput=${setTyped} fault=${fault} presets=${usual}
    help="as the label in it says" />
  ${reading?.means && html`<p class=${reading.isHarmed ? 'caution' : 'note'}>${capitalize(reading.means)}.</p>`}
</details>`;
