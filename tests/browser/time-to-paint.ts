import type { Page } from 'playwright-core'

/** Milliseconds from one input event to what it brought about. */
export interface Answered {
  /** To the result standing in the page. */
  readonly result: number
  /** To the end of the frame that painted it, on the page's own thread. */
  readonly painted: number
}

export interface Clock {
  /** The event that starts the clock: the newest of its kind before the result counts. */
  readonly event: 'mousemove' | 'click'
  /** Element whose words are the result. */
  readonly result: string
  /** Words in it that end the wait; any other words than before when left out. */
  readonly words?: string
}

interface Waiting {
  readonly answered: Promise<Answered | null>
}

/** So long after the event without a result there is none: the act changed nothing. */
const PATIENCE_MS = 1500

/**
 * Sets a clock in the page, does the act, and waits for what it brings: the event's own time stamp (when the browser
 * took the input) against the end of the frame after the result stood in the document. The map draws in that frame too.
 * Absent: null where the act brought no other words within a second and a half.
 */
export async function timeToPaint(page: Page, clock: Clock, act: () => Promise<void>): Promise<Answered | null> {
  const asked = { ...clock, patience: PATIENCE_MS }
  const waiting = await page.evaluateHandle(({ event, result, words, patience }): Waiting => {
    const read = () => document.querySelector(result)?.textContent ?? ''
    const before = read()
    const state = { from: 0 }
    const isThere = () => (words === undefined ? read() !== '' && read() !== before : read().includes(words))
    const giveUp: { now(): void } = { now: () => undefined }
    const listen = (happened: Event) => {
      if (state.from === 0) setTimeout(() => giveUp.now(), patience)
      state.from = happened.timeStamp
    }
    document.addEventListener(event, listen, { capture: true })
    return {
      answered: new Promise(resolve => {
        const watcher = new MutationObserver(() => {
          if (state.from === 0 || !isThere()) return
          watcher.disconnect()
          document.removeEventListener(event, listen, { capture: true })
          const stood = performance.now() - state.from
          requestAnimationFrame(() => {
            // A message posted within a frame comes after it was painted.
            const { port1, port2 } = new MessageChannel()
            port1.onmessage = () => resolve({ result: stood, painted: performance.now() - state.from })
            port2.postMessage(null)
          })
        })
        watcher.observe(document.body, { subtree: true, childList: true, characterData: true })
        giveUp.now = () => {
          if (isThere()) return
          watcher.disconnect()
          document.removeEventListener(event, listen, { capture: true })
          resolve(null)
        }
      }),
    }
  }, asked)
  await act()
  const answered = await waiting.evaluate(({ answered }) => answered)
  await waiting.dispose()
  return answered
}

export interface Spread {
  readonly median: number
  readonly max: number
}

/** Median and greatest, to a tenth of a millisecond. */
export function spreadOf(times: readonly number[]): Spread {
  const sorted = [...times].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  const median = sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
  const tenth = (value: number) => Math.round(value * 10) / 10
  return { median: tenth(median), max: tenth(sorted.at(-1)!) }
}
