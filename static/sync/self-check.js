// Checks whether this phone can work with the hub and without it. Each result says what was found
// and what to do about it.
import { hubNow } from '../journal/clock.js';
import { requestHub } from './hub-client.js';
import { isInstalled, homeAddress, deviceKind, addressKind } from '../device/origin.js';

// probeHub asks the hub for its network and this phone's role, and returns {network, role, hubTime,
// phoneTime}; both times are in ms.
export async function probeHub() {
  const about = await requestHub('about');
  return {
    network: about.network,
    role: about.you.out ? 'out' : about.you.role,
    hubTime: await hubNow(),
    phoneTime: Date.now(),
  };
}

// runChecks returns the results in the order in which a person deals with them: {key, mark, words,
// details, action}. mark is good, unsure or wrong; details are sentences; action is {href, words},
// or the name of an action: "save" or "keep".
export function runChecks(known) {
  return [
    checkAddress(known),
    checkName(known),
    checkTrust(known),
    checkOffline(known),
    checkHub(known),
    checkAccess(known),
    checkClock(known),
    checkPersistence(known),
    checkFreeSpace(known),
    checkInstalled(),
  ].filter(Boolean);
}

const goodLine = (key, words, ...details) => ({ key, mark: 'good', words, details });
const unsureLine = (key, words, detail, action) => ({ key, mark: 'unsure', words, details: [detail], action });
const wrongLine = (key, words, details, action) => ({ key, mark: 'wrong', words, details: [].concat(details), action });

function checkAddress({ network }) {
  const home = homeAddress(network);
  switch (addressKind(network)) {
    case 'computer':
      return goodLine('address', 'You are on the computer that runs the hub', home && `Phones open ${home}.`);
    case 'home':
      return goodLine('address', 'The right address', home);
    case 'alias':
      return unsureLine(
        'address',
        'The hub’s second name',
        `It works, but keeps a separate journal. Always use the same address; the usual one is ${home}.`,
      );
    case 'copy':
      return wrongLine(
        'address',
        'Another copy',
        `The journal here is not the one at ${home}, and this address may change tomorrow.
          Save the journal here to a file, and read that file there.`,
        'save',
      );
  }
  return unsureLine('address', 'The address', 'Not known yet: this phone has not reached the hub.');
}

function checkName({ network, hub }) {
  const home = homeAddress(network);
  const key = 'name';
  switch (addressKind(network)) {
    case 'home':
      return hub
        ? goodLine(key, `${network.host} is found`)
        : unsureLine(key, `Is ${network.host} found?`, 'This can only be checked while the hub can be reached.');
    case 'alias':
    case 'copy':
      return unsureLine(
        key,
        `Is ${network.host} found?`,
        `This cannot be checked from here. If the link does not open, this phone does not find names that end in
          .local: in the router’s settings, give the computer a fixed address and the name
          ${network.host.split('.')[0]}.home.arpa.`,
        { href: `${home}/check`, words: 'Try the name' },
      );
  }
  return null;
}

function checkTrust({ network, trusted }) {
  if (addressKind(network) === 'computer') return null;
  if (trusted) return goodLine('trust', 'This phone trusts the hub');
  if (trusted === false)
    return wrongLine('trust', 'This phone does not trust the hub yet', 'See above for what to do.');
  return unsureLine('trust', 'Does this phone trust the hub?', 'Not known yet.');
}

function checkOffline({ trusted, offline }) {
  if (offline) return goodLine('worker', 'Ready to work offline');
  if (trusted === false) return wrongLine('worker', 'Does not work offline', 'For that, the phone must trust the hub.');
  return unsureLine('worker', 'Not ready to work offline yet', 'Leave this page open near the hub for a minute.');
}

function checkHub({ network, hub, trusted }) {
  if (hub) return goodLine('hub', 'The hub can be reached');
  if (hub === null) return unsureLine('hub', 'Asking the hub', '');
  if (addressKind(network) === 'computer')
    return wrongLine('hub', 'The hub cannot be reached', 'Is the program running?');
  return wrongLine('hub', 'The hub cannot be reached', [
    'Is this phone on the same Wi-Fi as the computer, and not on the guest Wi-Fi?',
    'Is the computer awake, and is the program running?',
    'Switch off mobile data and VPN for a moment.',
    ...(trusted ? ['Was the certificate removed from this phone? Without it the phone cannot sync.'] : []),
  ]);
}

function checkAccess({ role, trusted }) {
  switch (role) {
    case 'owner':
      return goodLine('in', 'This phone has access');
    case 'helper':
      return goodLine('in', 'This phone has access as a helper’s phone');
    case 'out':
      return wrongLine('in', 'This phone was removed', 'Its entries wait for the owner. Ask for a new code.', {
        href: '/join',
        words: 'Pair this phone',
      });
    case 'stranger':
      if (trusted === false || (deviceKind === 'iphone' && !isInstalled))
        return unsureLine('in', 'Not paired yet', 'Do this last.');
      return unsureLine('in', 'Not paired yet', 'The hub syncs only with phones that are paired.', {
        href: '/join',
        words: 'Pair this phone',
      });
  }
  return null;
}

function checkClock({ hub, clockOffset, formatTime }) {
  if (!clockOffset) return hub ? goodLine('clock', 'The clock is right') : null;
  return unsureLine(
    'clock',
    'This phone’s clock is wrong',
    hub
      ? `It shows ${formatTime(hub.phoneTime)}, the hub ${formatTime(hub.hubTime)}. The app corrects its times.`
      : 'The app corrects its times.',
  );
}

function checkPersistence({ storage }) {
  if (storage.isPersistent) return goodLine('kept', 'The browser keeps your entries');
  return unsureLine(
    'kept',
    'The browser may delete your entries',
    'It may do so when the phone runs out of space. What the hub has is safe.',
    storage.isPersistent === false ? 'keep' : undefined,
  );
}

const checkFreeSpace = ({ storage }) =>
  storage.isAlmostFull || storage.isFull
    ? wrongLine(
        'room',
        'Little space is left',
        'Free some space on the phone: videos and photos take the most.',
        'save',
      )
    : null;

function checkInstalled() {
  if (isInstalled) return goodLine('icon', 'Opened by its icon');
  if (deviceKind === 'iphone')
    return wrongLine(
      'icon',
      'This is a page in Safari',
      `Safari may delete the entries of a page that you do not open for seven days.
        Add the app to the Home Screen and open it there.`,
    );
  return deviceKind === 'android'
    ? unsureLine(
        'icon',
        'Not opened by its icon',
        'It works this way too. An icon on the home screen is easier to find.',
      )
    : null;
}
