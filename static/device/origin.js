// The addresses of the app. A browser keeps a separate journal for every address that the app is
// opened by; a phone's real journal is the one at the hub's name and port.

// homeAddress returns the app's proper address, or "" if this phone never reached a hub.
export const homeAddress = (network) =>
  network?.host ? new URL(`https://${network.host}:${network.https}`).origin : '';

// addressKind says at which address this page is: "home", the proper one; "computer", localhost on
// the hub's computer; "alias", the second name that can be set in a router; "copy", any other; or
// "" while that is unknown.
export function addressKind(network) {
  if (['localhost', '127.0.0.1', '[::1]'].includes(location.hostname)) return 'computer';
  const home = homeAddress(network);
  if (!home) return '';
  if (home === location.origin) return 'home';
  const alias = homeAddress({ ...network, host: `${network.host.split('.')[0]}.home.arpa` });
  return alias === location.origin ? 'alias' : 'copy';
}

// joinAddresses returns the addresses of the joining page, for a phone that is not paired yet. A
// link-local address means nothing to a browser.
export const joinAddresses = (network) =>
  (network?.addresses || [])
    .filter((a) => !/^fe80/i.test(a))
    .map((a) => `http://${a.includes(':') ? `[${a}]` : a}:${network.http}`);

// deviceKind is the kind of this device, as far as the browser tells: "iphone" (also for an iPad),
// "android", or "computer". isInstalled says whether the app was opened by its icon and not as a
// page in the browser.
const iPhoneStandalone = /** @type {{standalone?: boolean}} */ (navigator).standalone; // only iPhones and iPads have it
export const deviceKind =
  iPhoneStandalone !== undefined ? 'iphone' : /Android/.test(navigator.userAgent) ? 'android' : 'computer';
export const isInstalled = iPhoneStandalone === true || matchMedia('(display-mode: standalone)').matches;
