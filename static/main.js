// Starts the app: takes an update that waits, draws the screens, then reaches for
// the hub. Nothing here waits for a network.
import { h, render } from 'preact';
import { effect } from '@preact/signals';
import { changed, wrote } from './journal/changes.js';
import { alive, call } from './core/core.js';
import { fillExample, follow } from './sync/example.js';
import { inExample } from './device/example-mode.js';
import { hub } from './sync/hub-state.js';
import { start } from './sync/sync-loop.js';
import { told } from './core/fault.js';
import { device } from './journal/journal.js';
import { carry } from './sync/photos.js';
import { register, takeWaiting } from './device/service-worker.js';
import { watchRoom } from './device/storage.js';
import { route, startRouter } from './device/router.js';
import { catchUp } from './journal/states.js';
import { say } from './device/toast.js';
import { screens } from './screens/index.js';

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
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') alive();
  });
  watchRoom({ changed, wrote });
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
