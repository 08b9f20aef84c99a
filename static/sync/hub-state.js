// What this phone knows of the hub, as a signal: the sync loop sets it, screens and
// the other modules that sync read it.
import { computed, signal } from '@preact/signals';

// hub is how things stand with it: {ok, reached, waiting, refused, name, id, host,
// network, example, clockOff, other, role, helps, was, held}. reached is when it last
// answered (ms, 0 never), waiting how many facts it lacks, refused how many it would
// not take, other the id of an earlier hub. role is what it took this phone for then:
// owner, helper, stranger, out (let in once and no more), or "". fault is why the last exchange failed where the hub was
// reached. was says that it was
// let in once, held what the hub said of what a phone sent that is out.
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
