// Leads to the screen on which the squeeze bottle is measured.
import { html } from './html.js';
import { style } from '../device/settings.js';
import { squeeze } from '../device/squeeze.js';
import { LinkRow } from './link-row.js';
import { passReturn } from './screen-handoff.js';

/** squeezeText writes a volume in mL as a squeeze gives it: "2.4 mL". */
export const squeezeText = (ml) => {
  const number = String(Math.round(ml * 10) / 10);
  return `${style.value.comma ? number.replace('.', ',') : number} mL`;
};

/** SqueezeRow says what one squeeze gives; words name the screen that it is shown on, for the way back. */
export const SqueezeRow = ({ words }) => html`<${LinkRow} href="/squeeze" title="Squeeze bottle"
  onClick=${() => passReturn({ href: location.pathname, words })}
  sub=${
    squeeze.value
      ? `one squeeze gives ${squeezeText(squeeze.value)}; measure it again`
      : 'measure it once, then doses are counted in squeezes'
  } />`;
