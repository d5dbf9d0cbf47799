import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import {
  type Circles,
  createArcsClosing,
  createBoxIndex,
  createPolygonEngine,
  groupCircles,
  indexBoundary,
  planarArea,
  prepareOverlap,
} from '../../core/geo/index.ts'
import type { MultiPolygon, Polygon, Ring } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { makeParcels, SEED } from './made-data.ts'
import { makeClusteredDiscs, makePatches } from './made-outline.ts'
import { hasProgram, hasPython, runPython, sayFigure, sayMissing, sayPeer, type Timing, timeRuns } from './stopwatch.ts'

const HALF = 30
const arcs = createArcsClosing(
  {
    close: () => {
      throw new Error('the arcs did not close')
    },
    closedArea: () => {
      throw new Error('the arcs did not close')
    },
  },
  () => undefined,
)

/** Finds to closing outlines: grouped by distance, each group closed and drawn. */
function closeAll({ x, y, r }: Circles): MultiPolygon[] {
  const groups = groupCircles({ x, y, r: r.map(radius => radius + HALF) })
  const sizes = new Int32Array(groups.reduce((most, group) => Math.max(most, group), 0) + 2)
  for (const group of groups) sizes[group + 1]!++
  for (let g = 1; g < sizes.length; g++) sizes[g]! += sizes[g - 1]!
  const next = sizes.slice()
  const sorted = { x: new Float64Array(x.length), y: new Float64Array(x.length), r: new Float64Array(x.length) }
  for (let i = 0; i < x.length; i++) {
    const at = next[groups[i]!]!++
    sorted.x[at] = x[i]!
    sorted.y[at] = y[i]!
    sorted.r[at] = r[i]!
  }
  return Array.from({ length: sizes.length - 1 }, (_, g) => {
    const [from, to] = [sizes[g]!, sizes[g + 1]!]
    const discs = { x: sorted.x.subarray(from, to), y: sorted.y.subarray(from, to), r: sorted.r.subarray(from, to) }
    return arcs.close(discs, { half: HALF, minimumHole: 0 }).shape
  })
}

/** Discs as inscribed polygons with the circle's own area. */
function drawGrown({ x, y, r }: Circles, segments: number): MultiPolygon {
  const angle = Math.PI / 2 / segments
  const outward = Math.sqrt(angle / Math.sin(angle))
  return Array.from(x, (cx, i): Polygon => {
    const ring = new Float64Array(8 * segments + 2)
    for (let k = 0; k <= 4 * segments; k++) {
      const at = (k % (4 * segments)) * angle
      ring[2 * k] = cx + (r[i]! + HALF) * outward * Math.cos(at)
      ring[2 * k + 1] = y[i]! + (r[i]! + HALF) * outward * Math.sin(at)
    }
    return [ring]
  })
}

const total = (shapes: readonly MultiPolygon[]): number => shapes.reduce((sum, shape) => sum + planarArea(shape), 0)

it.each([
  [50_000, 8, 4e-3],
  [200_000, 8, 4e-3],
])('closing of %d finds in clusters, beside GEOS at %d segments', async (count, segments, tolerance) => {
  const discs = makeClusteredDiscs(count)
  const first = await timeRuns(1, () => closeAll(discs), false)
  sayFigure(`${count} finds to closing outlines, first run of the process`, first)
  const ours = await timeRuns(7, () => closeAll(discs))
  sayFigure(`${count} finds to closing outlines, warm`, ours)
  const engine = await createPolygonEngine()
  const theirs = await timeRuns(
    1,
    () => engine.union([drawGrown(discs, segments)]).flatMap(polygon => engine.buffer([polygon], -HALF, segments)),
    false,
  )
  const ratio = total(ours.result) / planarArea(theirs.result)
  expect(Math.abs(ratio - 1)).toBeLessThan(tolerance)
  sayPeer(
    `GEOS 3.13 through geos-wasm, ${segments} segments a quarter, shrunk patch by patch`,
    ours,
    theirs,
    `area ${ratio.toFixed(6)} of its (tolerance ${100 * tolerance} %)`,
  )
  sayPeer('  the same beside our first run', first, theirs, 'cold')
})

it('areas of 50,000 finds within 0.05 % of GEOS at 32 segments', async () => {
  const discs = makeClusteredDiscs(50_000)
  const engine = await createPolygonEngine()
  const grown = engine.union([drawGrown(discs, 32)])
  const closed = grown.flatMap(polygon => engine.buffer([polygon], -HALF, 32))
  const ratio = total(closeAll(discs)) / planarArea(closed)
  console.info(`\narea beside GEOS at 32 segments a quarter: ${ratio.toFixed(6)} of its`)
  expect(Math.abs(ratio - 1)).toBeLessThan(5e-4)
})

it('grouping of 1,000,000 points by distance, beside dbscan of R', async () => {
  const { x, y } = makeClusteredDiscs(1_000_000)
  const [reach, least] = [30, 1]
  const radius = new Float64Array(x.length).fill(reach / 2)
  const ours = await timeRuns(5, () => groupCircles({ x, y, r: radius }))
  sayFigure('1,000,000 points grouped within 30 m, a label a point', ours)
  if (!hasProgram('Rscript', '-e', 'library(dbscan)'))
    return sayMissing('dbscan', 'Debian: apt-get install r-cran-dbscan')
  withFolder(folder => {
    const [points, labels] = [join(folder, 'points'), join(folder, 'labels')]
    const rows = new Float64Array(2 * x.length)
    for (let i = 0; i < x.length; i++) rows.set([x[i]!, y[i]!], 2 * i)
    writeFileSync(points, rows)
    const script = new URL('./peers/dbscan.R', import.meta.url).pathname
    const said = execFileSync('Rscript', [script, points, String(reach), String(least), labels], { encoding: 'utf8' })
    const { seconds, processor } = JSON.parse(said) as { seconds: number; processor: number }
    const bytes = readFileSync(labels)
    const theirs = new Int32Array(bytes.buffer, bytes.byteOffset, x.length)
    // The same groups: each of our labels goes with one of theirs and back.
    const pairs = new Set<number>()
    for (let i = 0; i < x.length; i++) pairs.add(ours.result[i]! * 2_000_000 + theirs[i]!)
    const [mine, other] = [new Set(ours.result).size, new Set(theirs).size]
    expect([mine, other]).toEqual([pairs.size, pairs.size])
    const timing: Timing<null> = { seconds: [seconds], processor: [processor], result: null }
    sayPeer('R dbscan, eps 30, minPts 1', ours, timing, `the same ${mine} groups`)
  })
})

it('area of 338 patches in each of 100,000 parcels, beside Shapely', async () => {
  const parcels = makeParcels(100_000).shapes.map(
    ([ring]) => Float64Array.from(ring!, (value, k) => value - (k % 2 === 0 ? 430_000 : 3_940_000)) as Ring,
  )
  const patches = makePatches(338, 317 * 42, 260)
  const measure = (): Float64Array => {
    const boxes = new Float64Array(4 * parcels.length)
    parcels.forEach((ring, i) => {
      let [west, south, east, north] = [ring[0]!, ring[1]!, ring[0]!, ring[1]!]
      for (let k = 2; k < ring.length; k += 2) {
        west = Math.min(west, ring[k]!)
        east = Math.max(east, ring[k]!)
        south = Math.min(south, ring[k + 1]!)
        north = Math.max(north, ring[k + 1]!)
      }
      boxes.set([west, south, east, north], 4 * i)
    })
    const index = createBoxIndex(boxes)
    const sums = new Float64Array(parcels.length)
    for (const patch of patches) {
      const overlapWith = prepareOverlap([patch])
      for (const i of index.search(boundsOf(patch[0]!))) sums[i]! += overlapWith([[parcels[i]!]]).area
    }
    return sums
  }
  const ours = await timeRuns(5, measure)
  const shared = ours.result.filter(area => area > 1e-6).length
  sayFigure(`338 patches of 260 corners in 100,000 parcels (${shared} share ground)`, ours)
  withPeer('patch_areas.py', { parcels, patches: patches.map(([ring]) => ring!) }, {}, peer => {
    const { sums, version } = peer.result as unknown as { sums: number[]; version: string }
    const largest = Math.max(...sums)
    let apart = 0
    sums.forEach((area, i) => {
      apart = Math.max(apart, Math.abs(area - ours.result[i]!))
    })
    expect(apart / largest).toBeLessThan(1e-9)
    sayPeer(
      `Shapely ${version}, STRtree and intersection`,
      ours,
      peer,
      `equal to ${(apart / largest).toExponential(1)} of the largest`,
    )
  })
})

it('100,000 boundary points to a boundary of 100,000 vertices, beside Shapely', async () => {
  const older = makePatches(400, 30_000, 250)
  const random = createRandom(SEED + 1)
  const points = Float64Array.from(
    older.flatMap(([ring]) => Array.from(ring!.subarray(0, 500), value => value + 25 * random.normal())),
  )
  expect(points.length).toBe(200_000)
  const ours = await timeRuns(7, () => {
    const boundary = indexBoundary(older)
    return Float64Array.from({ length: points.length / 2 }, (_, i) =>
      boundary.signedDistance(points[2 * i]!, points[2 * i + 1]!),
    )
  })
  sayFigure('100,000 signed distances to a boundary of 100,000 vertices, its index made too', ours)
  withPeer('boundary_distances.py', { patches: older.map(([ring]) => ring!) }, { points }, peer => {
    const { signed, version } = peer.result as unknown as { signed: number[]; version: string }
    let apart = 0
    signed.forEach((distance, i) => {
      apart = Math.max(apart, Math.abs(distance - ours.result[i]!))
    })
    expect(apart).toBeLessThan(1e-8)
    sayPeer(`Shapely ${version}, STRtree of the edges`, ours, peer, `equal to ${apart.toExponential(1)} m`)
  })
})

function boundsOf(ring: Ring): [number, number, number, number] {
  const [x, y] = [ring.filter((_, k) => k % 2 === 0), ring.filter((_, k) => k % 2 === 1)]
  return [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)]
}

function withFolder(act: (folder: string) => void): void {
  const folder = mkdtempSync(join(tmpdir(), 'vinereach-bench-'))
  try {
    act(folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** Runs a Shapely peer on rings (count, vertices of each, coordinates) and plain columns. */
function withPeer(
  script: string,
  rings: Readonly<Record<string, readonly Ring[]>>,
  columns: Readonly<Record<string, Float64Array>>,
  look: (peer: Timing<{ readonly seconds: number; readonly processor: number }>) => void,
): void {
  if (!(hasPython('shapely') && hasPython('numpy'))) {
    sayMissing('Shapely', 'Debian: apt-get install python3-shapely python3-numpy')
    return
  }
  withFolder(folder => {
    const job: Record<string, string> = {}
    for (const [name, list] of Object.entries(rings)) {
      job[name] = join(folder, name)
      const size = list.reduce((sum, ring) => sum + ring.length, 0)
      const raw = new Float64Array(1 + list.length + size)
      raw[0] = list.length
      let at = 1 + list.length
      list.forEach((ring, i) => {
        raw[1 + i] = ring.length / 2
        raw.set(ring, at)
        at += ring.length
      })
      writeFileSync(job[name], raw)
    }
    for (const [name, column] of Object.entries(columns)) {
      job[name] = join(folder, name)
      writeFileSync(job[name], column)
    }
    const path = join(folder, 'job.json')
    writeFileSync(path, JSON.stringify(job))
    look(runPython(script, path))
  })
}
