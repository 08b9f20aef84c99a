// What the card at the table says: mL for each section and side, white inside and how to reduce it.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useEffect, useRef, useState } from 'preact/hooks';
import { asFault } from '../core/fault.js';
import { style } from '../device/settings.js';
import { ErrorBox } from '../parts/messages.js';
import { Cloth } from '../parts/swatch.js';
import { callExtra } from '../core/extra.js';

const settleDelay = 250; // ms without a change until the card is worked out

/** useFoldReport works the card out once the design has been left alone for a moment; the last card stays till then. */
export function useFoldReport(design, results, squeeze) {
  const [answer, setAnswer] = useState(/** @type {{value?: any, fault?: any}} */ ({}));
  const run = useRef(0);
  const asked = design && JSON.stringify([design, results, squeeze, style.value]);
  useEffect(() => {
    if (!design) return;
    const runId = ++run.current;
    const timer = setTimeout(() => {
      const query = { design, results, squeeze, style: style.value, size: 0 };
      callExtra('fold.report', query).then(
        (value) => runId === run.current && setAnswer({ value }),
        (err) => runId === run.current && setAnswer((before) => ({ value: before.value, fault: asFault(err) })),
      );
    }, settleDelay);
    return () => clearTimeout(timer);
  }, [asked]);
  return answer;
}

/** FoldCard shows a report. */
export function FoldCard({ report: { value, fault }, colours }) {
  const rgbOf = (name) => colours.find((c) => c.name === name)?.rgb;
  return html`<section aria-live="polite">
    <h2>How much goes where</h2>
    <${ErrorBox} fault=${fault} />
    ${!value && !fault && html`<p class="sub">Working it out …</p>`}
    ${
      value &&
      html`${sidesOf(value.steps).map(
        ({ side, steps }) => html`<${SideTable} key=${side} side=${side} steps=${steps} rgbOf=${rgbOf} />`,
      )}
      <dl class="figures"><dt>Total</dt><dd>${value.total}</dd>
        ${value.runOff && html`<dt>Runs off</dt><dd>${value.runOff}</dd>`}
        <dt>Share of the cloth</dt><dd>${capitalize(value.shares.join(', '))}</dd></dl>`
    }
  </section>`;
}

/** WhiteInside says how much stays white, where, and how to reduce it. */
export function WhiteInside({ report: { value } }) {
  if (!value) return null;
  return html`<section>
    <h2>White inside</h2>
    <p class="lead">${capitalize(value.white)}${value.where && `, ${value.where}`}.</p>
    <p class="sub">${capitalize(value.range)}.</p>
    ${
      value.remedies.length > 0 &&
      html`<p>To leave less white:</p><ul class="remedies">${value.remedies.map(
        (remedy) => html`<li key=${remedy}>${capitalize(remedy)}.</li>`,
      )}</ul>`
    }
    <p class="sub">${capitalize(value.learned)}.</p>
  </section>`;
}

export const sidesOf = (steps) =>
  [...new Set(steps.map((s) => s.side))].map((side) => ({ side, steps: steps.filter((s) => s.side === side) }));

export const SideTable = ({ side, steps, rgbOf }) => html`<table class="steps-table">
  <caption>${capitalize(side)}</caption>
  <tbody>${steps.map(
    (s) => html`<tr key=${s.section}><th scope="row">${s.section}</th>
      <td class="colour"><span class="swatch little"><${Cloth} rgb=${rgbOf(s.colour)} /></span>${s.colour}</td>
      <td class="amount">${keepUnits(s.volume)}${s.squeezes && html`<small>${s.squeezes}</small>`}</td></tr>`,
  )}</tbody></table>`;
