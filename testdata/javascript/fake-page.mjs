// A stand-in for the page, as far as Preact and the app's screens use it: showScreen draws
// one, and a test reads what is on it, types and taps.
import { doNothing, loadModule, settle } from './app.mjs';

class FakeNode {
  parentNode = null;
  childNodes = [];
  constructor(nodeType) {
    this.nodeType = nodeType;
  }
  get firstChild() {
    return this.childNodes[0] ?? null;
  }
  get nextSibling() {
    const all = this.parentNode?.childNodes ?? [];
    return all[all.indexOf(this) + 1] ?? null;
  }
  get textContent() {
    return this.nodeType === 3 ? this.data : this.childNodes.map((c) => c.textContent).join('');
  }
  insertBefore(child, before) {
    child.remove();
    const at = before ? this.childNodes.indexOf(before) : this.childNodes.length;
    this.childNodes.splice(at, 0, child);
    child.parentNode = this;
    return child;
  }
  appendChild = (child) => this.insertBefore(child, null);
  remove() {
    if (!this.parentNode) return;
    this.parentNode.childNodes = this.parentNode.childNodes.filter((c) => c !== this);
    this.parentNode = null;
  }
  contains(other) {
    for (let node = other; node; node = node.parentNode) if (node === this) return true;
    return false;
  }
}

class FakeElement extends FakeNode {
  attributes = new Map();
  style = { setProperty: doNothing, removeProperty: doNothing };
  listeners = {};
  constructor(namespaceURI, localName) {
    super(1);
    Object.assign(this, { namespaceURI, localName });
  }
  // Markup is not read: it counts as one picture.
  set innerHTML(_) {
    this.childNodes = [new FakeElement('http://www.w3.org/2000/svg', 'svg')];
  }
  getAttribute = (name) => this.attributes.get(name) ?? null;
  setAttribute = (name, value) => this.attributes.set(name, String(value));
  removeAttribute = (name) => this.attributes.delete(name);
  addEventListener = (kind, listener) => (this.listeners[kind] = listener);
  removeEventListener = (kind) => delete this.listeners[kind];
  focus = doNothing;
  showModal = doNothing;
  close = doNothing;
  select = doNothing;
  getContext = () => ({ drawImage: doNothing });
  // send returns the element an event, as its person's finger does.
  async send(type, values = {}) {
    Object.assign(this, values);
    await this.listeners[type]?.call(this, { type, target: this, currentTarget: this, preventDefault: doNothing });
    await settleScreen();
  }
}

const documentElement = Object.assign(new FakeElement('', 'html'), { dataset: {} });
globalThis.document = Object.assign(new EventTarget(), {
  visibilityState: 'hidden', // nothing is sent by itself
  documentElement,
  activeElement: null,
  styleSheets: [],
  createElementNS: (space, name) => new FakeElement(space, name),
  createElement: (name) => new FakeElement('http://www.w3.org/1999/xhtml', name),
  createTextNode: (data) => Object.assign(new FakeNode(3), { data }),
});
globalThis.location = new URL('https://coldbatch.local:8443/');
globalThis.localStorage = { getItem: () => null, setItem: doNothing, removeItem: doNothing };
globalThis.scrollTo = doNothing;
Object.assign(navigator, { userAgent: 'Linux' });
globalThis.history = { state: null, pushState: doNothing, replaceState: doNothing };

// settleScreen waits until the effects of a change have run: they do after the next frame.
async function settleScreen() {
  for (let round = 0; round < 3; round++) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    await settle();
  }
}

// spaced returns the text of an element with single spaces.
export const spaced = (node) => node.textContent.replace(/\s+/g, ' ').trim();

// showScreen draws a component with its props and gives what a test does with it: text gives
// all that can be read, all the elements of a name, classed those of a class. waitFor
// waits until look finds something, and returns it: the storage and the core take their time.
export async function showScreen(component, props = {}) {
  const { h, render } = await loadModule('/vendor/preact@11.2.0/preact.mjs');
  const root = new FakeElement('http://www.w3.org/1999/xhtml', 'div');
  render(h(component, props), root);
  await settleScreen();
  const within = (node) => [node, ...node.childNodes.flatMap(within)];
  const all = (name) => within(root).filter((n) => n.localName === name);
  const classed = (word) => within(root).filter((n) => n.getAttribute?.('class')?.split(' ').includes(word));
  return {
    all,
    classed,
    text: () => spaced(root),
    async waitFor(what, look) {
      for (let tries = 0; tries < 60; tries++) {
        const found = look();
        if (found) return found;
        await settleScreen();
      }
      throw new Error(`there is no ${what} in: ${spaced(root)}`);
    },
    remove: () => render(null, root),
  };
}
