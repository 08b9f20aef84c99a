// Modules of the running app by their path. In the bundle a module has no address of its
// own: tests, and a person at the console, find it in what main.js exports.
import * as afterPicture from './core/after-picture.js';
import * as core from './core/core.js';
import * as extra from './core/extra.js';
import * as oneTouch from './device/one-touch.js';
import * as router from './device/router.js';
import * as serviceWorker from './device/service-worker.js';
import * as settings from './device/settings.js';
import * as toast from './device/toast.js';
import * as alarms from './journal/alarms.js';
import * as changes from './journal/changes.js';
import * as db from './journal/db.js';
import * as env from './journal/env.js';
import * as facts from './journal/facts.js';
import * as journal from './journal/journal.js';
import * as states from './journal/states.js';
import * as views from './journal/views.js';
import * as labels from './labels/labels.js';
import * as camera from './scan/camera.js';
import * as screens from './screens/index.js';
import * as photos from './sync/photos.js';
import * as syncLoop from './sync/sync-loop.js';
import * as syncRound from './sync/sync-round.js';

/** @type {Record<string, object>} */
export const modules = {
  '/core/after-picture.js': afterPicture,
  '/core/core.js': core,
  '/core/extra.js': extra,
  '/device/one-touch.js': oneTouch,
  '/device/router.js': router,
  '/device/service-worker.js': serviceWorker,
  '/device/settings.js': settings,
  '/device/toast.js': toast,
  '/journal/alarms.js': alarms,
  '/journal/changes.js': changes,
  '/journal/db.js': db,
  '/journal/env.js': env,
  '/journal/facts.js': facts,
  '/journal/journal.js': journal,
  '/journal/states.js': states,
  '/journal/views.js': views,
  '/labels/labels.js': labels,
  '/scan/camera.js': camera,
  '/screens/index.js': screens,
  '/sync/photos.js': photos,
  '/sync/sync-loop.js': syncLoop,
  '/sync/sync-round.js': syncRound,
};
