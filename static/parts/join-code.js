// A code with which another phone joins, to scan or to type.
import { html } from './html.js';
import { hub } from '../sync/hub-state.js';
import { joinAddresses } from '../device/origin.js';
import { QRCode } from './qr-code.js';

/** JoinCode shows address as a QR code and text below it, in the groups that are separated by spaces or hyphens. */
export const JoinCode = ({ address, label, text, help }) => html`<div class="join-code">
  <${QRCode} text=${address} label=${label} />
  <p class="to-type"><span class="sub">${help}</span>
    <b>${text.split(/([ -])/).map((part) => html`<span class="nowrap">${part}</span>`)}</b></p></div>`;

/**
 * FirstVisitHelp explains how a new phone comes to trust the hub: until then a browser opens none
 * of its pages.
 */
export function FirstVisitHelp() {
  const network = hub.value.network;
  if (!network?.http || network.own) return null;
  const joinUrl = `http://${network.host}:${network.http}`;
  const [otherUrl] = joinAddresses(network); // where the name is not found
  return html`<details><summary>If that phone is new here</summary>
    <p>On the home Wi-Fi, first open this address in its browser and follow the steps there.
      Then use the code above.</p>
    <${QRCode} text=${joinUrl} label=${`QR code for ${joinUrl}`} />
    <p class="to-type"><b class="address">${joinUrl}</b>
      ${
        otherUrl &&
        html`<span class="sub">or, if the name is not found, <span class="address">${otherUrl}</span></span>`
      }</p></details>`;
}
