// A code by which another phone gets in, for its camera and for its keyboard.
import { html } from './html.js';
import { hub } from '../sync/hub-state.js';
import { joinAddresses } from '../device/origin.js';
import { QRCode } from './qr-code.js';

/** JoinCode shows address as a QR code and text below it, in the groups that are separated by spaces or hyphens. */
export const JoinCode = ({ address, label, text, help }) => html`<div class="code">
  <${QRCode} text=${address} label=${label} />
  <p class="typed"><span class="sub">${help}</span>
    <b>${text.split(/([ -])/).map((part) => html`<span class="nowrap">${part}</span>`)}</b></p></div>`;

/**
 * FirstVisitHelp tells how a phone that was never here comes to trust the hub: before
 * that a browser opens none of its pages.
 */
export function FirstVisitHelp() {
  const net = hub.value.network;
  if (!net?.http || net.own) return null;
  const door = `http://${net.host}:${net.http}`;
  const [other] = joinAddresses(net); // where the name is not found
  return html`<details><summary>If that phone was never here</summary>
    <p>On the house’s Wi-Fi open this in its browser first, and do what the page says. Then use the code above.</p>
    <${QRCode} text=${door} label=${`QR code of ${door}`} />
    <p class="typed"><b class="address">${door}</b>
      ${
        other && html`<span class="sub">or, where the name is not found, <span class="address">${other}</span></span>`
      }</p></details>`;
}
