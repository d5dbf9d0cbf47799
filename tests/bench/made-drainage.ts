import { type Column, type Geometry, type Layer, layerOf } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { ORIGIN, SEED } from './made-data.ts'

/** Metres in a degree about the middle of the made ground; drawing errors are far larger than what this rounds. */
export const METRES = { x: 111_320 * Math.cos((ORIGIN.latitude * Math.PI) / 180), y: 110_950 } as const

/** Side of a cell of the lattice that confluences stand on, metres. */
const STEP = 120
/** Error of a drawn end, metres, standard deviation both ways; few lie farther off than the snap distance of 2 m. */
const END_ERROR = 0.35
const PLACES_A_LINE = 2.06

export interface Drainage {
  /** Lines as a person drew them. */
  readonly layer: Layer
  readonly lineCount: number
  /** True places of the confluences, heads and ends: longitude, latitude. */
  readonly places: Float64Array
  /** The true edges: from which place to which. A place that one line alone runs through is none. */
  readonly from: Uint32Array
  readonly to: Uint32Array
}

/**
 * A drainage net of about so many drawn lines that all run to outlets in the south. A line runs through one to six confluences;
 * tributaries end on its side (no vertex need be there), ends miss each other by decimetres, one line in thirty is drawn upstream.
 */
export function makeDrainage(lines: number): Drainage {
  // Places a line, as it came out of a run.
  const columns = Math.ceil(Math.sqrt(PLACES_A_LINE * lines))
  const rows = columns
  const random = createRandom(SEED)
  const places = new Float64Array(2 * columns * rows)
  for (let k = 0; k < columns * rows; k++) {
    places[2 * k] = ORIGIN.longitude + ((k % columns) * STEP + 50 * (random.next() - 0.5)) / METRES.x
    places[2 * k + 1] = ORIGIN.latitude - (Math.floor(k / columns) * STEP + 40 * (random.next() - 0.5)) / METRES.y
  }
  const next = leadSouth(columns, rows, random)
  const inflows = new Uint8Array(next.length)
  for (const onward of next) if (onward >= 0) inflows[onward]!++
  const drawing = new Drawing(places, random)
  const isCarried = new Uint8Array(places.length / 2)
  // Places come row by row, so that no later start of a line is drawn when an earlier one comes by.
  for (let head = 0; head < next.length; head++) {
    if (isCarried[head] || next[head]! < 0) continue
    const stops = [head]
    let at = next[head]!
    while (stops.length < 6 && next[at]! >= 0 && !isCarried[at] && random.next() < 0.75) {
      isCarried[at] = 1
      stops.push(at)
      at = next[at]!
    }
    stops.push(at)
    drawing.draw(stops, next[at]! < 0)
  }
  const isThrough = (place: number) => isCarried[place] === 1 && inflows[place] === 1
  const from: number[] = []
  const to: number[] = []
  for (let head = 0; head < next.length; head++) {
    if (isThrough(head) || next[head]! < 0) continue
    let at = next[head]!
    while (isThrough(at)) at = next[at]!
    from.push(head)
    to.push(at)
  }
  return { ...drawing.finish(), places, from: Uint32Array.from(from), to: Uint32Array.from(to) }
}

/** Where each place drains to, -1 in the last row; ways never cross. */
function leadSouth(columns: number, rows: number, random: { integer(below: number): number }): Int32Array {
  const next = new Int32Array(columns * rows).fill(-1)
  for (let row = 0; row + 1 < rows; row++) {
    let least = 0
    for (let column = 0; column < columns; column++) {
      const onward = Math.min(columns - 1, Math.max(least, column + random.integer(3) - 1))
      next[row * columns + column] = (row + 1) * columns + onward
      least = onward
    }
  }
  return next
}

/** Draws lines with the errors of a hand. */
class Drawing {
  readonly #places: Float64Array
  readonly #random: { next(): number; normal(): number }
  readonly #coords: number[] = []
  readonly #rings: number[] = [0]
  readonly #outlet: number[] = []

  constructor(places: Float64Array, random: { next(): number; normal(): number }) {
    this.#places = places
    this.#random = random
  }

  draw(stops: readonly number[], isOutlet: boolean): void {
    const path: number[] = []
    const add = (x: number, y: number, error: number) => {
      path.push(x + (error * this.#random.normal()) / METRES.x, y + (error * this.#random.normal()) / METRES.y)
    }
    for (const [k, stop] of stops.entries()) {
      const [x, y] = [this.#places[2 * stop]!, this.#places[2 * stop + 1]!]
      const isEnd = k === 0 || k === stops.length - 1
      // Where a line runs through, the confluence is a vertex of it or not.
      if (isEnd || this.#random.next() < 0.5) add(x, y, END_ERROR)
      const after = stops[k + 1]
      if (after === undefined) continue
      const [dx, dy] = [this.#places[2 * after]! - x, this.#places[2 * after + 1]! - y]
      // A vertex a metre before and after a confluence keeps the line at it.
      const flank = 1 / Math.hypot(dx * METRES.x, dy * METRES.y)
      if (!isEnd) add(x + flank * dx, y + flank * dy, 0.1)
      for (const t of [0.35, 0.65]) add(x + t * dx, y + t * dy, 1.5)
      if (k + 2 < stops.length) add(x + (1 - flank) * dx, y + (1 - flank) * dy, 0.1)
    }
    const isUpstream = !isOutlet && this.#random.next() < 1 / 30
    for (let i = 0; i < path.length; i += 2) {
      const at = isUpstream ? path.length - 2 - i : i
      this.#coords.push(path[at]!, path[at + 1]!)
    }
    this.#rings.push(this.#coords.length / 2)
    this.#outlet.push(isOutlet ? 1 : 2)
  }

  finish(): { layer: Layer; lineCount: number } {
    const lineCount = this.#outlet.length
    const each = Uint32Array.from({ length: lineCount + 1 }, (_, i) => i)
    const geometry: Geometry = {
      coords: Float64Array.from(this.#coords),
      rings: Uint32Array.from(this.#rings),
      parts: each,
      features: each,
      kinds: new Uint8Array(lineCount).fill(2),
    }
    const outlet: Column = { name: 'outlet', type: 'boolean', values: Uint8Array.from(this.#outlet) }
    return { layer: layerOf('waterways', geometry, 'EPSG:4326', [outlet]), lineCount }
  }
}
