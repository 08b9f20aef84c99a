// Resolves the app's imports under Node: bare names by the import map of index.html,
// and every .js file of static/ as an ES module.
import { readFileSync } from 'node:fs';

const appFolder = new URL('../../static/', import.meta.url);
const page = readFileSync(new URL('index.html', appFolder), 'utf8');
const { imports } = JSON.parse(/<script type="importmap">([\s\S]*?)<\/script>/.exec(page)[1]);

export function resolve(name, context, next) {
  if (imports[name]) return { url: new URL(`.${imports[name]}`, appFolder).href, format: 'module', shortCircuit: true };
  return next(name, context);
}

export function load(url, context, next) {
  const isAppModule = url.startsWith(appFolder.href) && url.endsWith('.js');
  return next(url, isAppModule ? { ...context, format: 'module' } : context);
}
