// What one screen passes to the next: a bag whose label to show at once, the number of a scanned
// blank, a print order, or where to go back to.
let pendingBag = '',
  pendingBlank = '',
  pendingOrder = {};
/** @type {{href: string, words: string} | null} */
let pendingReturn = null;

/** passBag passes a bag to the next screen, which receives it only once. */
export const passBag = (id) => {
  pendingBag = id;
};

/** receiveBag returns the bag that was passed, or ''. */
export function receiveBag() {
  const handed = pendingBag;
  pendingBag = '';
  return handed;
}

/** passBlank passes a numbered blank in the same way. */
export const passBlank = (number) => {
  pendingBlank = number;
};

/** receiveBlank returns the blank that was passed, or ''. */
export function receiveBlank() {
  const handed = pendingBlank;
  pendingBlank = '';
  return handed;
}

/** passPrintOrder tells the labels screen what to print: {what, bag?, piece?, colour?}. */
export const passPrintOrder = (order) => {
  pendingOrder = order;
};

/** receivePrintOrder returns the order that was passed, or {}. */
export function receivePrintOrder() {
  const handed = pendingOrder;
  pendingOrder = {};
  return handed;
}

/** passReturn passes the screen that the next one leads back to: {href, words}. */
export const passReturn = (to) => {
  pendingReturn = to;
};

/** receiveReturn returns the screen that was passed, or null. */
export function receiveReturn() {
  const handed = pendingReturn;
  pendingReturn = null;
  return handed;
}
