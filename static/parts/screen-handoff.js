// What one screen hands to the next: a bag whose label is wanted at once, the number
// of a blank that was scanned, or what is to be printed.
let bag = '',
  blank = '',
  print = {};

/** passBag names a bag; the next screen takes it, and nobody after that. */
export const passBag = (id) => {
  bag = id;
};

/** receiveBag gives the bag that was handed over, or nothing. */
export function receiveBag() {
  const had = bag;
  bag = '';
  return had;
}

/** passBlank names a numbered blank in the same way. */
export const passBlank = (number) => {
  blank = number;
};

/** receiveBlank gives the blank that was handed over, or nothing. */
export function receiveBlank() {
  const had = blank;
  blank = '';
  return had;
}

/** passPrintOrder says what the labels screen is to print: {what, bag?, piece?, colour?}. */
export const passPrintOrder = (order) => {
  print = order;
};

/** receivePrintOrder gives what was handed over, or nothing. */
export function receivePrintOrder() {
  const had = print;
  print = {};
  return had;
}
