import { useStore } from './store.ts'
import { type WindowState, windowStore } from './window-state.ts'

/** Watches a part of the window's state. */
export const useWindow = <P>(pick: (state: WindowState) => P): P => useStore(windowStore, pick)
