// What this phone knows of the hub, as a signal: the sync loop sets it, screens and
// the other modules that sync read it.
import { computed, signal } from '@preact/signals';

// hub is the last known state of the hub. isReached says whether it answered the last time,
// reachedAt when it last did (ms, 0 for never). unsentCount is how many facts the hub lacks,
// refusedCount how many it refused. previousHubId is set while another hub answers than before,
// unknownHubId while one does of which this phone does not know whether the two journals belong together.
// role is this phone's role: owner, helper, stranger, out (removed), or "" while it is unknown.
// wasPaired says whether this phone was ever paired; quarantineMessage is what the hub says about
// entries that a removed phone sent; fault is why the last sync failed although the hub answered.
/** @type {import('@preact/signals').Signal<any>} */
export const hub = signal({
  isReached: false,
  reachedAt: 0,
  unsentCount: 0,
  refusedCount: 0,
  name: '',
  id: '',
  host: '',
  network: null,
  example: false,
  clockOffset: 0,
  previousHubId: '',
  unknownHubId: '',
  role: '',
  isHelper: false,
  wasPaired: false,
  quarantineMessage: '',
  fault: null,
});

// isHelper says whether this phone is or was a helper's: it can add to the batches it joined
// and to nothing else.
export const isHelper = computed(() => hub.value.isHelper);
