// A fault is an error told to a person: the core's, the hub's or the phone's.

export class Fault extends Error {
  constructor({ code = 'internal', sentence, hint = '', input = '', typed = '' }) {
    super(hint ? `${sentence} (${hint})` : sentence);
    Object.assign(this, { code, sentence, hint, input, typed });
  }
}

// asFault gives any error as a Fault. What is not one already is our own mistake:
// it goes to the console, and the person is told no more than that.
export function asFault(err) {
  if (err instanceof Fault) return err;
  console.error(err);
  return new Fault({
    sentence: 'something went wrong inside the app',
    hint: 'try again; if it stays so, close the app and open it again',
  });
}
