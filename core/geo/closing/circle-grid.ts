import { type Circles, withRoom } from './circles.ts'

/** Circles of one power of two, hashed by their cell: bucket b of the class holds entries starts[first + b] onward. */
interface RadiusClass {
  readonly cell: number
  readonly largest: number
  readonly mask: number
  readonly first: number
}

/** Power of two of the smallest class, so that cell numbers fit 32 bits in any frame. */
const SMALLEST = -4
const LARGEST = 40
/** Cells are this power of two of a class's largest possible radius. Set by trial. */
const CELL_POWER = 0
/** Squares of distances are compared with this much room for rounding. */
const TOUCH = 1 + 1e-9
/** Circles of a cell looked at first. Set by trial. */
const SAMPLE = 16
/** Up to this many circles, looking at all of them is quicker than a grid. */
const FEW = 32

/**
 * Finds the circles that meet or touch a given one. A grid a radius class (powers of two), so that a few wide circles do
 * not make the cells of small ones crowded. It is filled anew for every set and keeps its memory from set to set.
 * Cost: one pass to fill; a query looks at the cells within reach of each class.
 */
export class CircleGrid {
  /** Numbers that the last `collect` found, in the order of classes and cells; another array once it has to grow. */
  found = new Int32Array(64)
  #circles: Circles = { x: new Float64Array(0), y: new Float64Array(0), r: new Float64Array(0) }
  #classes: RadiusClass[] = []
  #count = 0
  #powers = new Int32Array(64)
  #starts = new Int32Array(64)
  #circle = new Int32Array(64)
  #column = new Int32Array(64)
  #row = new Int32Array(64)
  #place = new Float64Array(64)

  /** Takes the first `count` circles. */
  fill(circles: Circles, count = circles.r.length): void {
    this.#circles = circles
    this.#count = count
    if (count <= FEW) return
    this.#circle = withRoom(this.#circle, count)
    this.#column = withRoom(this.#column, count)
    this.#row = withRoom(this.#row, count)
    this.#place = withRoom(this.#place, 3 * count)
    this.#powers = withRoom(this.#powers, count)
    const sizes = new Int32Array(LARGEST - SMALLEST + 1)
    for (let i = 0; i < count; i++) {
      this.#powers[i] = powerOf(circles.r[i]!)
      sizes[this.#powers[i]! - SMALLEST]!++
    }
    this.#classes = []
    let [bucket, entry] = [0, 0]
    for (const [k, size] of sizes.entries()) {
      if (size === 0) continue
      bucket = this.#fillClass({ power: k + SMALLEST, size }, bucket, entry)
      entry += size
    }
  }

  /** How many circles j != i have distance <= r_i + r_j; their numbers stand in `found`. */
  collect(circle: number): number {
    const { x, y, r } = this.#circles
    const cx = x[circle]!
    const cy = y[circle]!
    const reach = r[circle]!
    const total = this.collectAround(circle, cx - reach, cy - reach, cx + reach, cy + reach)
    let kept = 0
    for (let k = 0; k < total; k++) {
      const j = this.found[k]!
      const dx = x[j]! - cx
      const dy = y[j]! - cy
      const sum = r[j]! + reach
      if (dx * dx + dy * dy <= sum * sum) this.found[kept++] = j
    }
    return kept
  }

  /** A few other circles of the circle's own cells, evenly among them: in a crowd enough to tell that it is covered. */
  sampleOwnCells(circle: number): number {
    if (this.#count <= FEW) return 0
    const { x, y } = this.#circles
    let count = 0
    for (const { cell, mask, first } of this.#classes) {
      const bucket = first + bucketOf(Math.floor(x[circle]! / cell), Math.floor(y[circle]! / cell), mask)
      const start = this.#starts[bucket]!
      const end = this.#starts[bucket + 1]!
      const step = Math.max(1, (end - start) / SAMPLE)
      if (count + SAMPLE > this.found.length) this.found = withRoom(this.found, count + SAMPLE)
      for (let at = start; at < end; at += step) {
        const other = this.#circle[Math.floor(at)]!
        if (other !== circle) this.found[count++] = other
      }
    }
    return count
  }

  /** How many other circles come into the box. */
  collectAround(circle: number, west: number, south: number, east: number, north: number): number {
    if (this.#count <= FEW) return this.#collectAmongFew(circle, west, south, east, north)
    let count = 0
    for (const group of this.#classes) {
      const { cell, largest } = group
      const first = Math.floor((west - largest) / cell)
      const last = Math.floor((east + largest) / cell)
      const low = Math.floor((south - largest) / cell)
      const high = Math.floor((north + largest) / cell)
      for (let column = first; column <= last; column++) {
        for (let row = low; row <= high; row++) {
          count = this.#collectCell(group, column, row, west, south, east, north, circle, count)
        }
      }
    }
    return count
  }

  #collectAmongFew(circle: number, west: number, south: number, east: number, north: number): number {
    const { x, y, r } = this.#circles
    let count = 0
    for (let other = 0; other < this.#count; other++) {
      const px = x[other]!
      const py = y[other]!
      const pr = r[other]!
      const dx = px < west ? west - px : px > east ? px - east : 0
      const dy = py < south ? south - py : py > north ? py - north : 0
      if (dx * dx + dy * dy <= pr * pr * TOUCH && other !== circle) this.found[count++] = other
    }
    return count
  }

  #fillClass(members: Members, first: number, entry: number): number {
    const { x, y, r } = this.#circles
    const isAll = members.size === this.#count
    const cell = 2 ** (members.power + CELL_POWER)
    const mask = 2 ** Math.ceil(Math.log2(2 * members.size)) - 1
    this.#starts = withRoom(this.#starts, first + mask + 2)
    const starts = this.#starts.subarray(first, first + mask + 2).fill(0)
    const isMember = (i: number) => isAll || this.#powers[i] === members.power
    for (let i = 0; i < this.#count; i++) {
      if (isMember(i)) starts[bucketOf(Math.floor(x[i]! / cell), Math.floor(y[i]! / cell), mask)]!++
    }
    // Running ends; filling from the back turns them into starts.
    let sum = entry
    for (let b = 0; b <= mask + 1; b++) {
      sum += starts[b]!
      starts[b] = sum
    }
    let largest = 0
    for (let i = this.#count - 1; i >= 0; i--) {
      if (!isMember(i)) continue
      const [column, row] = [Math.floor(x[i]! / cell), Math.floor(y[i]! / cell)]
      const at = --starts[bucketOf(column, row, mask)]!
      this.#circle[at] = i
      this.#column[at] = column
      this.#row[at] = row
      this.#place[3 * at] = x[i]!
      this.#place[3 * at + 1] = y[i]!
      this.#place[3 * at + 2] = r[i]!
      largest = Math.max(largest, r[i]!)
    }
    this.#classes.push({ cell, largest, mask, first })
    return first + mask + 2
  }

  #collectCell(
    { mask, first }: RadiusClass,
    column: number,
    row: number,
    west: number,
    south: number,
    east: number,
    north: number,
    circle: number,
    before: number,
  ): number {
    const bucket = first + bucketOf(column, row, mask)
    const end = this.#starts[bucket + 1]!
    const start = this.#starts[bucket]!
    if (before + end - start > this.found.length) this.found = withRoom(this.found, before + end - start)
    const place = this.#place
    let count = before
    for (let at = start; at < end; at++) {
      const px = place[3 * at]!
      const py = place[3 * at + 1]!
      const pr = place[3 * at + 2]!
      const dx = px < west ? west - px : px > east ? px - east : 0
      const dy = py < south ? south - py : py > north ? py - north : 0
      if (dx * dx + dy * dy > pr * pr * TOUCH) continue
      // Cells of one bucket are told apart, so that no circle is found twice.
      if (this.#column[at] !== column || this.#row[at] !== row || this.#circle[at] === circle) continue
      this.found[count++] = this.#circle[at]!
    }
    return count
  }
}

interface Members {
  readonly power: number
  readonly size: number
}

const powerOf = (r: number): number =>
  r > 0 ? Math.min(LARGEST, Math.max(SMALLEST, Math.ceil(Math.log2(r)))) : SMALLEST

const bucketOf = (column: number, row: number, mask: number): number =>
  (Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca77)) & mask
