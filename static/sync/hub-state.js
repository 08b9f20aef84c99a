// What this phone knows of the hub, as a signal: the sync loop sets it, screens and
// the other modules that sync read it.
import { computed, signal } from '@preact/signals';

// hub is the last known state of the hub: {ok, reached, waiting, refused, name, id, host,
// network, example, clockOff, other, role, helps, was, held, fault}. reached is when it last
// answered (ms, 0 never), waiting how many facts it lacks, refused how many it would not
// take, other the id of an earlier hub. role is the role of this phone on it: owner, helper,
// stranger, out (removed), or "" while it is not known. was says that this phone was paired
// once; held is what the hub says of the entries that a removed phone sent; fault is why the
// last sync failed though the hub was reached.
/** @type {import('@preact/signals').Signal<any>} */
export const hub = signal({
  ok: false,
  reached: 0,
  waiting: 0,
  refused: 0,
  name: '',
  id: '',
  host: '',
  network: null,
  example: false,
  clockOff: 0,
  other: '',
  role: '',
  helps: false,
  was: false,
  held: '',
  fault: null,
});

// isHelper says that this phone is a helper's, or was: it adds to the batches it joined,
// and to nothing else.
export const isHelper = computed(() => hub.value.helps);
