// Looks whether all is so that this phone works with the hub and without it, and
// says of each thing how it is and what to do about it.
import { hubNow } from '../journal/clock.js';
import { requestHub } from './hub-client.js';
import { isInstalled, homeAddress, deviceKind, addressKind } from '../device/origin.js';

// probeHub asks the hub who it is and gives {network, role, at, here}: the time
// of the hub and of the phone.
export async function probeHub() {
  const about = await requestHub('about');
  return { network: about.network, role: about.you.out ? 'out' : about.you.role, at: await hubNow(), here: Date.now() };
}

// runChecks gives what was found, in the order in which it is put right: {key, mark,
// words, more, act}. mark is good, unsure or wrong; more are sentences; act is
// {href, words}, or the name of something to do: "save" or "keep".
export function runChecks(known) {
  return [
    address(known),
    name(known),
    trust(known),
    worker(known),
    reached(known),
    inside(known),
    clock(known),
    kept(known),
    little(known),
    icon(),
  ].filter(Boolean);
}

const good = (key, words, ...more) => ({ key, mark: 'good', words, more });
const unsure = (key, words, more, act) => ({ key, mark: 'unsure', words, more: [more], act });
const wrong = (key, words, more, act) => ({ key, mark: 'wrong', words, more: [].concat(more), act });

function address({ network }) {
  const home = homeAddress(network);
  switch (addressKind(network)) {
    case 'computer':
      return good('address', 'This is the computer itself', home && `Phones open ${home}.`);
    case 'home':
      return good('address', 'The right address', home);
    case 'second':
      return unsure(
        'address',
        'The hub’s second name',
        `It works, with a journal of its own. Use the same address always; the usual one is ${home}.`,
      );
    case 'copy':
      return wrong(
        'address',
        'Another copy',
        `The journal here is not the one at ${home}, and this address may be another one tomorrow. A file of what was recorded here can be read there.`,
        'save',
      );
  }
  return unsure('address', 'The address', 'Not known yet: the hub was not met.');
}

function name({ network, hub }) {
  const home = homeAddress(network);
  const key = 'name';
  switch (addressKind(network)) {
    case 'home':
      return hub
        ? good(key, `${network.host} is found`)
        : unsure(key, `Is ${network.host} found?`, 'It cannot be tried while the hub is not reached.');
    case 'second':
    case 'copy':
      return unsure(
        key,
        `Is ${network.host} found?`,
        `It cannot be tried from here. If this link leads nowhere, this phone does not find names that end in .local: in the router’s settings give the computer a fixed address and the name ${network.host.split('.')[0]}.home.arpa.`,
        { href: `${home}/check`, words: 'Try the name' },
      );
  }
  return null;
}

function trust({ network, trusted }) {
  if (addressKind(network) === 'computer') return null;
  if (trusted) return good('trust', 'This phone trusts the hub');
  if (trusted === false) return wrong('trust', 'This phone does not trust the hub yet', 'What to do stands above.');
  return unsure('trust', 'Does this phone trust the hub?', 'Not known yet.');
}

function worker({ trusted, offline }) {
  if (offline) return good('worker', 'Ready to work offline');
  if (trusted === false)
    return wrong('worker', 'It cannot work without network', 'For that the phone must trust the hub.');
  return unsure('worker', 'Not ready to work offline yet', 'Leave this page open near the hub for a minute.');
}

function reached({ network, hub, trusted }) {
  if (hub) return good('hub', 'The hub is reached');
  if (hub === null) return unsure('hub', 'Asking the hub', '');
  if (addressKind(network) === 'computer') return wrong('hub', 'The hub is not reached', 'Is the program running?');
  return wrong('hub', 'The hub is not reached', [
    'Is this phone in the same Wi-Fi as the computer, and not in the guests’ one?',
    'Is the computer awake, and the program running?',
    'Switch off mobile data and VPN for a moment.',
    ...(trusted ? ['Was the certificate taken off this phone? Then nothing is exchanged either.'] : []),
  ]);
}

function inside({ role, trusted }) {
  switch (role) {
    case 'owner':
      return good('in', 'This phone is in');
    case 'helper':
      return good('in', 'This phone is in, as a helper’s');
    case 'out':
      return wrong('in', 'This phone is let in no more', 'What it holds waits for the owner. Ask for a new code.', {
        href: '/join',
        words: 'Pair this phone',
      });
    case 'stranger':
      if (trusted === false || (deviceKind === 'iphone' && !isInstalled))
        return unsure('in', 'Not paired yet', 'That comes last.');
      return unsure('in', 'Not paired yet', 'The hub gives nothing to a phone that it does not know.', {
        href: '/join',
        words: 'Pair this phone',
      });
  }
  return null;
}

function clock({ hub, clockOff, print }) {
  if (!clockOff) return hub ? good('clock', 'The clock is right') : null;
  return unsure(
    'clock',
    'This phone’s clock is wrong',
    hub ? `It says ${print(hub.here)}, and the hub ${print(hub.at)}. Times are put right.` : 'Times are put right.',
  );
}

function kept({ room }) {
  if (room.kept) return good('kept', 'The browser keeps what is recorded');
  return unsure(
    'kept',
    'The browser may drop what is recorded',
    'It has not promised to keep it when the phone runs short of room. What the hub has is safe.',
    room.kept === false ? 'keep' : undefined,
  );
}

const little = ({ room }) =>
  room.tight || room.full
    ? wrong(
        'room',
        'There is little room left',
        'Free some space on the phone: films and photos take the most.',
        'save',
      )
    : null;

function icon() {
  if (isInstalled) return good('icon', 'Opened by its icon');
  if (deviceKind === 'iphone')
    return wrong(
      'icon',
      'This is a page in Safari',
      'A page that is not used for seven days may lose what it holds. Put the app on the Home Screen and open it there.',
    );
  return deviceKind === 'android'
    ? unsure('icon', 'Not opened by its icon', 'It works like this too. On the home screen it is found again.')
    : null;
}
