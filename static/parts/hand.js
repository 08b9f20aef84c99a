// What one screen hands to the next: a bag whose label is wanted at once.
let bag = '';

/** handBag names a bag; the next screen takes it, and nobody after that. */
export const handBag = id => { bag = id; };

/** takeBag gives the bag that was handed over, or nothing. */
export function takeBag() {
  const had = bag;
  bag = '';
  return had;
}
