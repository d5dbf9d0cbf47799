import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { planLoad, solveLoad } from '../../core/downstream/index.ts'
import { buildWaterSystem, loadSystemFor } from '../../core/downstream/load-system.ts'
import { writePathsWkb } from '../../core/geo/index.ts'
import { createTask } from '../../core/model/index.ts'
import { buildFlowGraph, buildNetwork, createReachIndex } from '../../core/network/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { linesLayer } from '../reference/network-lines.ts'
import { type MadeLine, makeStreams, SEED, segmentCount } from './made-data.ts'
import { hasPython, runPython, sayFigure, sayMissing, sayPeer, timeRuns } from './stopwatch.ts'

const ENTRIES = 5000
const RETENTION = 2000

it('a network of 100,000 segments: nodes, direction, orders and load', async () => {
  const lines = makeStreams()
  const segments = segmentCount(lines)
  expect(segments).toBeGreaterThan(99_700)
  const layer = linesLayer(lines.map(path => ({ path })))
  const built = await timeRuns(2, () =>
    buildNetwork({ lines: layer, fields: {}, snap: 0.01, isNodingCrossings: true, outlets: [] }, createTask()),
  )
  const network = built.result
  sayFigure(
    `${segments} segments in ${lines.length} lines to ${network.reachCount} reaches: nodes, direction, orders, problems`,
    built,
  )
  const noded = await nodeWithGeos(lines)
  expect(Math.abs(noded.result.count / network.reachCount - 1)).toBeLessThan(2e-3)
  expect(noded.result.length / planarDegrees(network)).toBeCloseTo(1, 6)
  sayPeer(
    'GEOS 3.13 through geos-wasm, the noding alone (unary union of the lines, planar)',
    built,
    noded,
    `${noded.result.count} pieces (tolerance 0.2 %), planar length equal to 1e-6`,
  )

  const graph = buildFlowGraph(network)
  const random = createRandom(SEED)
  const entries = {
    arc: Uint32Array.from({ length: ENTRIES }, () => random.integer(graph.arcCount)),
    place: new Float64Array(ENTRIES),
    load: Float64Array.from({ length: ENTRIES }, () => 1000 * random.next()),
  }
  const system = loadSystemFor(buildWaterSystem(createReachIndex(network), [], 2, createTask()), RETENTION, 1)
  const closedLoop = () => {
    throw new Error('the made network has no loops')
  }
  const ours = await timeRuns(5, () => {
    const plan = planLoad(system, closedLoop)
    return { plan, solution: solveLoad(plan, entries) }
  })
  const { plan, solution } = ours.result
  sayFigure(`load of ${ENTRIES} entries on ${graph.arcCount} arcs: plan and solution`, ours)
  const out = solution.node.reduce(
    (sum, flow, node) => sum + (graph.outOffsets[node] === graph.outOffsets[node + 1] ? flow : 0),
    0,
  )
  const sum = (values: ArrayLike<number>) => Array.from(values).reduce((total, value) => total + value, 0)
  expect((sum(solution.deposit) + out) / sum(entries.load)).toBeCloseTo(1, 9)

  if (!(hasPython('scipy') && hasPython('networkx'))) {
    sayMissing('SciPy and NetworkX', 'Debian: apt-get install python3-scipy python3-networkx')
    return
  }
  const entry = new Float64Array(graph.nodeCount)
  entries.arc.forEach((arc, k) => {
    entry[graph.to[arc]!]! += entries.load[k]! * plan.passed[arc]!
  })
  const peer = withFile(
    {
      nodes: graph.nodeCount,
      from: [...graph.from],
      to: [...graph.to],
      passed: Array.from(plan.passed, (passed, arc) => passed * system.share[arc]!),
      entry: [...entry],
    },
    path => runPython<Peer>('load.py', path),
  )
  const largest = Math.max(...solution.node)
  const apart = Math.max(...peer.result.flow.map((flow, node) => Math.abs(flow - solution.node[node]!)))
  expect(apart / largest).toBeLessThan(1e-9)
  sayPeer(
    'SciPy spsolve on the same matrix',
    ours,
    peer,
    `node flows equal to ${(apart / largest).toExponential(1)} of the largest`,
  )
  const order = peer.result.order
  const arriving = new Float64Array(graph.nodeCount)
  graph.to.forEach((node, arc) => {
    arriving[node]! += network.shreve[graph.reach[arc]!]!
  })
  for (const [node, magnitude] of peer.result.arriving.entries())
    expect(Math.abs(arriving[node]! - magnitude)).toBeLessThan(1e-6)
  sayPeer(
    'NetworkX, Shreve magnitudes alone',
    built,
    { seconds: [order.seconds], processor: [order.processor], result: null },
    'magnitudes arriving at every node equal to 1e-6',
  )
})

interface Peer {
  readonly seconds: number
  readonly processor: number
  readonly flow: readonly number[]
  readonly order: { readonly seconds: number; readonly processor: number }
  readonly arriving: readonly number[]
}

function withFile<T>(input: unknown, run: (path: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'vinereach-bench-'))
  try {
    const path = join(folder, 'input.json')
    writeFileSync(path, JSON.stringify(input))
    return run(path)
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** What of the library is used here; numbers are addresses in its memory. */
interface Geos {
  readonly Module: {
    readonly HEAPU8: Uint8Array
    _malloc(bytes: number): number
    _free(address: number): void
    getValue(at: number, type: string): number
  }
  GEOSGeomFromWKB_buf(address: number, size: number): number
  GEOSUnaryUnion(geometry: number): number
  GEOSGetNumGeometries(geometry: number): number
  GEOSLength(geometry: number, into: number): number
  GEOSGeom_destroy(geometry: number): void
}

async function nodeWithGeos(lines: readonly MadeLine[]) {
  const geos = (await (await import('geos-wasm')).default()) as unknown as Geos
  const { Module } = geos
  const wkb = writePathsWkb(lines.map(line => Float64Array.from(line.flat())))
  return timeRuns(
    2,
    () => {
      const address = Module._malloc(wkb.length)
      Module.HEAPU8.set(wkb, address)
      const taken = geos.GEOSGeomFromWKB_buf(address, wkb.length)
      Module._free(address)
      const united = geos.GEOSUnaryUnion(taken)
      const at = Module._malloc(8)
      geos.GEOSLength(united, at)
      const result = { count: geos.GEOSGetNumGeometries(united), length: Module.getValue(at, 'double') }
      Module._free(at)
      for (const geometry of [taken, united]) geos.GEOSGeom_destroy(geometry)
      return result
    },
    false,
  )
}

/** Length of all reaches as if degrees were a plane. */
function planarDegrees({
  coords,
  vertexOffsets,
  reachCount,
}: {
  coords: Float64Array
  vertexOffsets: Uint32Array
  reachCount: number
}): number {
  let sum = 0
  for (let r = 0; r < reachCount; r++) {
    for (let v = vertexOffsets[r]! + 1; v < vertexOffsets[r + 1]!; v++) {
      sum += Math.hypot(coords[2 * v]! - coords[2 * v - 2]!, coords[2 * v + 1]! - coords[2 * v - 1]!)
    }
  }
  return sum
}
