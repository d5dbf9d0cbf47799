import { useSyncExternalStore } from 'react'

/** One value that the window watches; changed whole, never in place. */
export interface Store<T> {
  get(): T
  set(change: Partial<T>): void
  subscribe(listener: () => void): () => void
}

export function createStore<T extends object>(initial: T): Store<T> {
  const listeners = new Set<() => void>()
  const held = { value: initial }
  return {
    get: () => held.value,
    set(change) {
      held.value = { ...held.value, ...change }
      for (const listener of listeners) listener()
    },
    subscribe(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
  }
}

/** A part of the store's value; `pick` must give the same thing for the same value. */
export function useStore<T extends object, P>(store: Store<T>, pick: (value: T) => P): P {
  return useSyncExternalStore(store.subscribe, () => pick(store.get()))
}
