// Lets a test under Node import the app's modules as the page does: app.mjs comes first,
// then loadModule('/journal/db.js').
import { register } from 'node:module';
import { webcrypto } from 'node:crypto';

register('./app-loader.mjs', import.meta.url);

export const appFolder = new URL('../../static/', import.meta.url);

export const loadModule = (path) => import(new URL(`.${path}`, appFolder).href);

export const doNothing = () => undefined;

// What a page has and Node 20 lacks. A module that asks for more fails its test.
globalThis.crypto ??= webcrypto;
globalThis.addEventListener ??= doNothing;
globalThis.self ??= globalThis;
globalThis.navigator ??= {};
globalThis.matchMedia ??= () => ({ matches: false });
delete globalThis.BroadcastChannel; // Node would wait for other windows

// settle waits until all pending promise callbacks have run.
export const settle = () => new Promise((resolve) => setImmediate(resolve));
