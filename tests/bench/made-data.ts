import { createRandom, type Random } from '../../core/stats/index.ts'

/** All data of the benchmarks comes from these generators: the same seed, the same data. */
export const SEED = 20251125

/** Origin of the made ground, degrees; it lies in open ocean. */
export const ORIGIN = { longitude: -45.8, latitude: 35.7 } as const
const DEGREES_A_METRE = 1 / 111_000

/** Reports as a CSV: finds about 3,000 centres over 40 km, one in ten not found, half of them with a stated size. */
export function makeReportsCsv(count: number): Uint8Array {
  const random = createRandom(SEED)
  const centres = Array.from({ length: 3000 }, () => [random.next() * 40_000, random.next() * 40_000] as const)
  const lines = ['id,date,lon,lat,found,cover,size_m2,evidence,accuracy_m,recorder,confirmed_by']
  for (let i = 0; i < count; i++) {
    const [x, y] = centres[random.integer(centres.length)]!
    const lon = ORIGIN.longitude + (x - 20_000 + 60 * random.normal()) * DEGREES_A_METRE
    const lat = ORIGIN.latitude + (y - 20_000 + 60 * random.normal()) * DEGREES_A_METRE
    const day = String(1 + random.integer(28)).padStart(2, '0')
    const size = random.next() < 0.5 ? '' : (20 + 480 * random.next()).toFixed(0)
    const found = random.next() < 0.9 ? 'yes' : 'no'
    const cover = 1 + random.integer(6)
    lines.push(
      `R${i},2024-07-${day},${lon.toFixed(7)},${lat.toFixed(7)},${found},${cover},${size},leaf,5,Rec ${i % 97},staff`,
    )
  }
  return new TextEncoder().encode(lines.join('\n'))
}

/** A line of a made network, as longitude, latitude pairs. */
export type MadeLine = readonly (readonly [number, number])[]

/**
 * Streams of 100,000 segments that all run south, so that no way of directing them makes a loop: a jittered lattice of
 * confluences, each with one or (one in thirty) two ways on, 5 segments each, and long ditches of 250 segments across it.
 */
export function makeStreams(): MadeLine[] {
  const random = createRandom(SEED)
  const [columns, rows, step] = [125, 128, 150]
  const place = (x: number, y: number): [number, number] => [
    ORIGIN.longitude + x * DEGREES_A_METRE * 1.23,
    ORIGIN.latitude - y * DEGREES_A_METRE,
  ]
  const node = Array.from({ length: columns * (rows + 1) }, (_, k): [number, number] => [
    (k % columns) * step + 50 * (random.next() - 0.5),
    Math.floor(k / columns) * step + 50 * (random.next() - 0.5),
  ])
  const lines: MadeLine[] = []
  const link = (a: number, b: number): void => {
    const [[ax, ay], [bx, by]] = [node[a]!, node[b]!]
    const inner = [1, 2, 3, 4].map(k => {
      const t = k / 5
      return place(ax + (bx - ax) * t + 16 * (random.next() - 0.5), ay + (by - ay) * t)
    })
    lines.push([place(ax, ay), ...inner, place(bx, by)])
  }
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const onward = Math.min(columns - 1, Math.max(0, column + random.integer(3) - 1))
      link(row * columns + column, (row + 1) * columns + onward)
      const second = onward === column ? Math.min(columns - 1, column + 1) : column
      if (second !== onward && random.next() < 1 / 30) link(row * columns + column, (row + 1) * columns + second)
    }
  }
  const segments = 250
  while (segmentCount(lines) + segments <= 100_000)
    lines.push(makeDitch(random, place, { width: columns * step, height: rows * step, segments }))
  return lines
}

function makeDitch(
  random: Random,
  place: (x: number, y: number) => [number, number],
  size: { readonly width: number; readonly height: number; readonly segments: number },
): MadeLine {
  const [from, to] = [random.next() * size.width, random.next() * size.width]
  return Array.from({ length: size.segments + 1 }, (_, k) => {
    const t = k / size.segments
    return place(from + (to - from) * t + 20 * random.next(), t * size.height)
  })
}

export const segmentCount = (lines: readonly MadeLine[]): number =>
  lines.reduce((sum, line) => sum + line.length - 1, 0)

/** Parcels of six corners in a projected frame, metres; they do not overlap. Rings run clockwise, as a Shapefile has them. */
export function makeParcels(count: number): { readonly shapes: number[][][]; readonly rows: (string | number)[][] } {
  const random = createRandom(SEED)
  const columns = Math.ceil(Math.sqrt(count))
  const shapes: number[][][] = []
  const rows: (string | number)[][] = []
  for (let i = 0; i < count; i++) {
    const [x, y] = [430_000 + (i % columns) * 42, 3_940_000 + Math.floor(i / columns) * 42]
    const off = () => 3 * random.next()
    const west = x + off()
    const south = y + off()
    shapes.push([
      [west, south, x + off(), y + 38, x + 20, y + 40, x + 38 + off(), y + 38, x + 38, y + off(), west, south],
    ])
    rows.push([`P${i}`, `Owner ${random.integer(40_000)}`, Math.round(random.next() * 1e4) / 100, '2019-05-14'])
  }
  return { shapes, rows }
}
