// Where the app is at home. A browser keeps a journal for every address that the
// app is opened by, and they know nothing of each other: the one of a phone is at
// the hub's name and port.

// homeAddress gives the one address of the app, or "" where no hub was met yet.
export const homeAddress = (network) =>
  network?.host ? new URL(`https://${network.host}:${network.https}`).origin : '';

// addressKind says where this page is: "home"; "computer", the one that the program
// runs on; "second", the name that a router can be told; "copy", anything else; or
// "" where that is not known yet.
export function addressKind(network) {
  if (['localhost', '127.0.0.1', '[::1]'].includes(location.hostname)) return 'computer';
  const home = homeAddress(network);
  if (!home) return '';
  if (home === location.origin) return 'home';
  const second = homeAddress({ ...network, host: `${network.host.split('.')[0]}.home.arpa` });
  return second === location.origin ? 'second' : 'copy';
}

// joinAddresses gives the addresses of the joining page, for a phone that is not paired yet. A
// link-local address means nothing to a browser.
export const joinAddresses = (network) =>
  (network?.addresses || [])
    .filter((a) => !/^fe80/i.test(a))
    .map((a) => `http://${a.includes(':') ? `[${a}]` : a}:${network.http}`);

// deviceKind is what this is, as far as it can be told: "iphone" (an iPad too),
// "android", or "computer". byIcon says that the app was opened by its icon and not
// as a page of the browser.
const iPhoneStandalone = /** @type {{standalone?: boolean}} */ (navigator).standalone; // an iPhone alone has it
export const deviceKind =
  iPhoneStandalone !== undefined ? 'iphone' : /Android/.test(navigator.userAgent) ? 'android' : 'computer';
export const isInstalled = iPhoneStandalone === true || matchMedia('(display-mode: standalone)').matches;
