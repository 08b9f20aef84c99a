// The kinds of scope that have a state, which the core builds of their facts and the
// phone keeps: one entry here and one in internal/projection. list is where a scope
// stands whose state was never built.
const projections = {
  batch: { list: 'batch-open' },
  place: { list: 'place' },
  shelf: { list: 'shelf' },
  designs: { list: 'designs' },
};

// projectionOf gives the entry of a scope, undefined where it has no state.
export const projectionOf = (scope) => projections[scope.split('/')[0]];
