//go:build unix

package phonetest

import "fmt"

// StartBatch starts a batch through the app's screens and returns the path of the batch's screen.
func (p *Phone) StartBatch(name string) string {
	p.T.Helper()
	p.show("/")
	p.Tap("New batch")
	p.Fill("Name", name)
	p.Tap("Start the batch")
	p.WaitForText("Batch started")
	p.WaitFor("the batch", `location.pathname.startsWith('/batch/')`) // the text may be of the batch before
	return Evaluate[string](p, `location.pathname.split('/').slice(0, 3).join('/')`)
}

// Pair lets the phone in by the digits of an invitation, as a person does.
func (p *Phone) Pair(digits, name string) {
	p.T.Helper()
	p.show("/join")
	p.Fill("Code", digits)
	p.Fill("Name of this phone", name)
	p.Tap("Pair this phone")
	p.WaitForText("This phone is paired")
}

// RecordPlan records what comes before the bags, as the screens would, and returns the
// path of the batch: three napkins, one colour, and a shed of 21 °C.
func (p *Phone) RecordPlan(name string) string {
	p.T.Helper()
	return Evaluate[string](p, fmt.Sprintf(`(async () => {
		const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js');
		const [id, secret, place] = await call('id.new', {n: 3});
		const scope = 'batch/' + id;
		await record([{scope: 'place/' + place, subject: place, kind: 'place.named', body: {name: 'shed'}},
			{scope: 'place/' + place, subject: place, kind: 'place.read', body: {celsius: 21}}]);
		await record([{scope, subject: id, kind: 'batch.started', body: {name: %q, secret}},
			{scope, kind: 'piece.added', body: {kind: 'napkin', count: 3, grams: 40, assumed: true, fibre: 'cotton', fold: 'wedge'}},
			{scope, kind: 'colour.chosen', body: {name: 'rust', caps: 'RU', rgb: '#a8502a', class: 'dichlorotriazine', strength: 26.2, depth: 1}}]);
		return '/batch/' + id;
	})()`, name))
}

// RecordBlanks records n numbered blanks as printed, with numbers of this phone, for
// the batch at path, and returns their codes by number.
func (p *Phone) RecordBlanks(path string, n int) map[string]string {
	p.T.Helper()
	return Evaluate[map[string]string](p, fmt.Sprintf(`(async () => {
		const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js'), {loadState} = await appModule('/journal/states.js'), {coreEnv} = await appModule('/journal/env.js');
		const scope = %q.slice(1);
		const runs = await call('blanks.draft', {state: await loadState(scope), env: await coreEnv(), count: %d});
		await record(runs.map(body => ({scope, kind: 'blanks.printed', body})));
		const printed = await call('blanks.view', {state: await loadState(scope), env: await coreEnv()});
		return Object.fromEntries(printed.map(b => [b.number, b.code]));
	})()`, path, n))
}

// RecordedBodies returns the bodies of the facts of a kind that hold on the phone: those
// that were withdrawn and not restored are left out.
func (p *Phone) RecordedBodies(path, kind string) []map[string]any {
	p.T.Helper()
	return Evaluate[[]map[string]any](p, fmt.Sprintf(`(async () => {
		const {factsOfScope} = await appModule('/journal/facts.js');
		const facts = await factsOfScope(%q.slice(1)), targets = kind => facts.filter(f => f.kind === kind).map(f => f.body.target);
		const restored = targets('fact.restored'), withdrawn = targets('fact.withdrawn').filter(id => !restored.includes(id));
		return facts.filter(f => f.kind === %q && !withdrawn.includes(f.id)).map(f => f.body);
	})()`, path, kind))
}
