// Starts the app: applies a waiting update, draws the screens, then connects to the hub. Nothing
// here waits for a network.
import { h, options, render } from 'preact';
import { effect } from '@preact/signals';
import { journalChanged, factsRecorded } from './journal/changes.js';
import { watchAlarms } from './journal/alarms.js';
import { afterPicture } from './core/after-picture.js';
import { checkCore, call } from './core/core.js';
import { checkExtra } from './core/extra.js';
import { fillExample, followHubExample } from './sync/example.js';
import { exampleMode } from './device/example-mode.js';
import { hub } from './sync/hub-state.js';
import { startSync } from './sync/sync-loop.js';
import { deviceId } from './journal/journal.js';
import { startPhotoSync } from './sync/photos.js';
import { registerServiceWorker, applyWaitingUpdate } from './device/service-worker.js';
import { startFocusKeeper } from './device/focus-keeper.js';
import { startOneTouch } from './device/one-touch.js';
import { watchStorage } from './device/storage.js';
import { route, startRouter } from './device/router.js';
import { refreshStates } from './journal/states.js';
import { runOrShow, showFault } from './device/toast.js';
import { NotFound, routes } from './screens/index.js';

export { modules } from './modules.js';

// App draws the screen of the path. If a parameter in the path changes, the screen is mounted
// again.
function App() {
  const { Screen, params, path } = route.value;
  return h(Screen, { key: path, ...params });
}

async function main() {
  // The core compiles while the page is drawn; if that fails, the first real call reports it.
  call('about').catch(() => undefined);
  if (await applyWaitingUpdate()) return;
  options.debounceRendering = (draw) => afterPicture(() => queueMicrotask(draw));
  startOneTouch();
  startFocusKeeper();
  startRouter(routes, NotFound);
  const app = /** @type {HTMLElement} */ (document.getElementById('app'));
  app.replaceChildren(); // the frame in index.html, and the last Today
  render(h(App, null), app);
  document.documentElement.dataset.started = 'yes';
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState !== 'visible') return;
    checkCore();
    checkExtra();
  });
  watchStorage({ journalChanged, factsRecorded });
  registerServiceWorker().catch(showFault);
  if (exampleMode) await fillExample();
  else await deviceId();
  await startSync();
  startPhotoSync();
  watchAlarms().catch(showFault);
  const stop = effect(() => {
    if (!hub.value.isReached) return;
    runOrShow(() => followHubExample(hub.value.example));
    queueMicrotask(() => stop()); // at the start only: later it would switch while the person works
  });
  await refreshStates();
}

// An error that no module catches is shown.
addEventListener('unhandledrejection', (e) => showFault(e.reason));

main().catch(showFault);
