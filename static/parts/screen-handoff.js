// What one screen hands to the next: a bag whose label is wanted at once, the number
// of a blank that was scanned, or what is to be printed.
let bag = '',
  blank = '',
  print = {};

/** handBag names a bag; the next screen takes it, and nobody after that. */
export const handBag = (id) => {
  bag = id;
};

/** takeBag gives the bag that was handed over, or nothing. */
export function takeBag() {
  const had = bag;
  bag = '';
  return had;
}

/** handBlank names a numbered blank in the same way. */
export const handBlank = (number) => {
  blank = number;
};

/** takeBlank gives the blank that was handed over, or nothing. */
export function takeBlank() {
  const had = blank;
  blank = '';
  return had;
}

/** handPrint says what the labels screen is to print: {what, bag?, piece?, colour?}. */
export const handPrint = (order) => {
  print = order;
};

/** takePrint gives what was handed over, or nothing. */
export function takePrint() {
  const had = print;
  print = {};
  return had;
}
