/**
 * Scripts that the stand-in puts into a page before its own: the context bridge between the page's world and the
 * isolated world in which the preload runs. The two worlds share the document alone, so calls cross as DOM events.
 * Bytes cross as base64.
 */

const CODEC = `
const encode = value => JSON.stringify(value, (_key, item) => item instanceof Uint8Array
  ? { $bytes: btoa(Array.from(item, byte => String.fromCharCode(byte)).join('')) } : item)
const decode = text => JSON.parse(text, (_key, item) => item && typeof item === 'object' && typeof item.$bytes === 'string'
  ? Uint8Array.from(atob(item.$bytes), c => c.charCodeAt(0)) : item)
`

/** Runs in the page's own world: builds the exposed object out of its shape. */
export const PAGE_WORLD = `(() => {
${CODEC}
const waiting = new Map(), listeners = new Map()
let calls = 0
const build = (shape, path) => {
  if (shape.kind === 'object') {
    return Object.freeze(Object.fromEntries(Object.entries(shape.members).map(([name, member]) => [name, build(member, [...path, name])])))
  }
  if (shape.kind === 'value') return shape.value
  return (...args) => new Promise((resolve, reject) => {
    const id = ++calls
    waiting.set(id, { resolve, reject })
    const sent = args.map((arg, i) => {
      if (typeof arg !== 'function') return arg
      listeners.set(id + ':' + i, arg)
      return { $listener: id + ':' + i }
    })
    document.dispatchEvent(new CustomEvent('bridge-call', { detail: encode({ id, path, args: sent }) }))
  })
}
document.addEventListener('bridge-expose', event => {
  const { name, shape } = decode(event.detail)
  Object.defineProperty(window, name, { value: build(shape, []), enumerable: true })
})
document.addEventListener('bridge-answer', event => {
  const { id, value, error } = decode(event.detail)
  const call = waiting.get(id)
  waiting.delete(id)
  if (error === undefined) call.resolve(value)
  else call.reject(new Error(error))
})
document.addEventListener('bridge-listener', event => {
  const { listener, args } = decode(event.detail)
  listeners.get(listener)(...args)
})
document.dispatchEvent(new CustomEvent('bridge-page-ready'))
})()`

/** Runs in the preload's world ahead of it: what the preload's require('electron') gives. */
export const PRELOAD_WORLD = `const electronForPreload = (() => {
${CODEC}
const waiting = new Map(), listeners = new Map()
let calls = 0
globalThis.__fromMain = text => {
  const message = decode(text)
  if (message.channel !== undefined) {
    for (const listener of listeners.get(message.channel) ?? []) listener({}, ...message.args)
    return
  }
  const call = waiting.get(message.id)
  waiting.delete(message.id)
  if (message.error === undefined) call.resolve(message.value)
  else call.reject(new Error(message.error))
}
const ipcRenderer = {
  invoke: (channel, ...args) => new Promise((resolve, reject) => {
    const id = ++calls
    waiting.set(id, { resolve, reject })
    __toMain(encode({ id, channel, args }))
  }),
  on: (channel, listener) => listeners.set(channel, [...(listeners.get(channel) ?? []), listener]),
}
const shapeOf = value => typeof value === 'function' ? { kind: 'call' }
  : value && typeof value === 'object' ? { kind: 'object', members: Object.fromEntries(Object.entries(value).map(([k, v]) => [k, shapeOf(v)])) }
  : { kind: 'value', value }
const contextBridge = {
  exposeInMainWorld(name, surface) {
    const expose = () => document.dispatchEvent(new CustomEvent('bridge-expose', { detail: encode({ name, shape: shapeOf(surface) }) }))
    document.addEventListener('bridge-page-ready', expose)
    expose()
    document.addEventListener('bridge-call', async event => {
      const { id, path, args } = decode(event.detail)
      const given = args.map(arg => arg && arg.$listener
        ? (...out) => document.dispatchEvent(new CustomEvent('bridge-listener', { detail: encode({ listener: arg.$listener, args: out }) }))
        : arg)
      const reply = answer => document.dispatchEvent(new CustomEvent('bridge-answer', { detail: encode({ id, ...answer }) }))
      try {
        reply({ value: await path.reduce((node, key) => node[key], surface)(...given) })
      } catch (error) {
        reply({ error: String(error.message ?? error) })
      }
    })
  },
}
return { contextBridge, ipcRenderer }
})();`

/** The preload as Electron would run it: CommonJS in the isolated world, where only 'electron' can be required. */
export function preloadScript(source: string): string {
  return `${PRELOAD_WORLD}
;(function (require) { ${source} })(name => {
  if (name === 'electron') return electronForPreload
  throw new Error('module not found: ' + name + ' (a sandboxed preload has no modules)')
})`
}
