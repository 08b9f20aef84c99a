// Starts the app: takes an update that waits, draws the screens, then reaches for
// the hub. Nothing here waits for a network.
import {h, render} from 'preact';
import {effect} from '@preact/signals';
import {alive, call} from '/core.js';
import {fillExample, follow, inExample} from '/example.js';
import {hub, start} from '/exchange.js';
import {told} from '/fault.js';
import {device} from '/journal.js';
import {carry} from '/photos.js';
import {register, takeWaiting} from '/register.js';
import {watchRoom} from '/room.js';
import {route, startRouter} from '/router.js';
import {catchUp} from '/states.js';
import {say} from '/toast.js';
import {screens} from '/screens/index.js';

// App draws the screen of the path. A path with other parts is another screen,
// even of the same kind: it starts afresh.
function App() {
  const { screen, params, path } = route.value;
  return h(screens[screen] || screens.missing, { key: path, ...params });
}

async function main() {
  if (await takeWaiting()) return;
  call('about').catch(() => {}); // the core compiles while the page is drawn
  startRouter();
  render(h(App), document.getElementById('app'));
  document.documentElement.dataset.started = 'yes';
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') alive(); });
  watchRoom();
  register().catch((err) => console.error('service worker:', err));
  if (inExample) await fillExample();
  else await device();
  await start();
  carry();
  const stop = effect(() => {
    if (!hub.value.ok) return;
    follow(hub.value.example).catch(console.error);
    queueMicrotask(() => stop()); // at the start only: later it would be under the hand
  });
  await catchUp();
}

main().catch((err) => say(told(err).message));
