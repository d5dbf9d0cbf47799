import { execFileSync } from 'node:child_process'
import { closeSync, mkdtempSync, openSync, readFileSync, rmSync, writeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { planLoad, solveAdjoint, solveLoad } from '../../core/downstream/index.ts'
import { createTask, type ReachNetwork } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { type Drainage, METRES, makeDrainage } from './made-drainage.ts'
import { makeFlow } from './made-flow.ts'
import { hasProgram, sayFigure, sayMissing, sayPeer, type Timing, timeRuns } from './stopwatch.ts'

const SNAP = 2
/** Python with NumPy, SciPy and Shapely; Debian's, unless another is named. */
const PYTHON = process.env['VINEREACH_BENCH_PYTHON'] ?? '/usr/bin/python3'

const build = ({ layer }: Drainage): Promise<ReachNetwork> =>
  buildNetwork(
    { lines: layer, fields: {}, snap: SNAP, isNodingCrossings: false, isNodingTouches: true, outlets: [] },
    createTask(),
  )

const megabytes = () => process.resourceUsage().maxRSS / 1024

it('a network of 100,000 drawn lines: ends snapped, tees noded, directed', async () => {
  const made = makeDrainage(100_000)
  const cold = await timeRuns(1, () => build(made), false)
  const ours = await timeRuns(7, () => build(made))
  sayFigure(`${made.lineCount} drawn lines, cold`, cold)
  sayFigure('the same, warm', ours)
  const network = ours.result
  const found = shareFound(made, network.nodePosition, network.from, network.to)
  console.info(`  ${(100 * found).toFixed(3)} % of ${made.from.length} true edges found, with their direction`)
  expect(found).toBeGreaterThanOrEqual(0.9997)
  if (!hasProgram(PYTHON, '-c', 'import scipy, shapely')) {
    sayMissing('SciPy and Shapely', 'Debian: apt-get install python3-scipy python3-shapely')
    return
  }
  const { timing, out } = runPeer('network.py', [
    Float64Array.of(made.lineCount, made.layer.geometry.coords.length / 2, SNAP, METRES.x, METRES.y),
    made.layer.geometry.coords,
    Float64Array.from(made.layer.geometry.rings),
    Float64Array.from(outletFlags(made)),
  ])
  const { nodes, edges, shapely } = timing.result as unknown as { nodes: number; edges: number; shapely: string }
  const places = out.slice(0, 2 * nodes).map((value, i) => value / (i % 2 === 0 ? METRES.x : METRES.y))
  const [from, to] = [out.slice(2 * nodes, 2 * nodes + edges), out.slice(2 * nodes + edges)]
  const theirs = shareFound(made, places, from, to)
  sayPeer(
    `SciPy and Shapely ${shapely}, without cutting geometry`,
    ours,
    timing,
    `it found ${(100 * theirs).toFixed(3)} %`,
  )
  expect(Math.abs(network.reachCount / edges - 1)).toBeLessThan(1e-3)
})

it('a network of 1,000,000 drawn lines within its memory', async () => {
  const made = makeDrainage(1_000_000)
  const ours = await timeRuns(1, () => build(made), false)
  sayFigure(`${made.lineCount} drawn lines to ${ours.result.reachCount} reaches`, ours)
  const found = shareFound(made, ours.result.nodePosition, ours.result.from, ours.result.to)
  console.info(`  ${(100 * found).toFixed(3)} % of the true edges; peak of the process ${megabytes().toFixed(0)} MiB`)
  expect(found).toBeGreaterThanOrEqual(0.9997)
})

it('load and adjoint on 1,000,000 reaches', async () => {
  const { system, entries } = makeFlow(1000, 10_000)
  const noLoop = () => {
    throw new Error('the made flow has no loops')
  }
  const weight = new Float64Array(system.arcCount).fill(1)
  const run = () => {
    const plan = planLoad(system, noLoop)
    return { plan, solution: solveLoad(plan, entries), adjoint: solveAdjoint(plan, weight) }
  }
  const cold = await timeRuns(1, run, false)
  const ours = await timeRuns(7, run)
  sayFigure(`order, load and adjoint of ${system.arcCount} reaches, cold`, cold)
  sayFigure('the same, warm', ours)
  if (!hasProgram(PYTHON, '-c', 'import numpy')) {
    sayMissing('NumPy', 'Debian: apt-get install python3-numpy')
    return
  }
  const { plan, solution } = ours.result
  const entry = new Float64Array(system.nodeCount)
  entries.arc.forEach((arc, k) => {
    entry[system.to[arc]!]! += entries.load[k]! * plan.passed[arc]!
  })
  const { timing, out } = runPeer('load_levels.py', [
    Float64Array.of(system.nodeCount, system.arcCount),
    Float64Array.from(system.from),
    Float64Array.from(system.to),
    system.length,
    system.share,
    entry,
  ])
  const [largest, apart] = solution.node.reduce(
    ([most, far], flow, node) => [Math.max(most, flow), Math.max(far, Math.abs(flow - out[node]!))] as const,
    [0, 0] as readonly [number, number],
  )
  expect(apart / largest).toBeLessThan(1e-9)
  const agreement = `node flows equal to ${(apart / largest).toExponential(1)} of the largest`
  sayPeer('NumPy by levels, forward only, against our cold run', cold, timing, agreement)
  sayPeer('the same against our warm runs', ours, timing, agreement)
})

function outletFlags({ layer }: Drainage): Uint8Array {
  const [outlet] = layer.columns
  return outlet!.values as Uint8Array
}

function runPeer(script: string, input: readonly Float64Array[]): { timing: Timing<unknown>; out: Float64Array } {
  const folder = mkdtempSync(join(tmpdir(), 'vinereach-bench-'))
  try {
    const path = join(folder, 'input.f64')
    const file = openSync(path, 'w')
    for (const column of input) writeSync(file, new Uint8Array(column.buffer, column.byteOffset, column.byteLength))
    closeSync(file)
    const peer = new URL(`./peers/${script}`, import.meta.url).pathname
    const result = JSON.parse(
      execFileSync(PYTHON, [peer, path], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] }),
    ) as { seconds: number; processor: number }
    const bytes = readFileSync(`${path}.out`)
    return {
      timing: { seconds: [result.seconds], processor: [result.processor], result },
      out: new Float64Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length)),
    }
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** Share of the true edges that a network has, from the right place to the right place; nodes stand for the nearest place within 10 m. */
function shareFound(
  made: Drainage,
  nodePosition: ArrayLike<number>,
  from: ArrayLike<number>,
  to: ArrayLike<number>,
): number {
  const count = made.places.length / 2
  const cells = new Map<number, number[]>()
  const cell = (x: number, y: number) => Math.floor((x * METRES.x) / 20) * 1_000_003 + Math.floor((y * METRES.y) / 20)
  for (let i = 0; i < count; i++) {
    const at = cell(made.places[2 * i]!, made.places[2 * i + 1]!)
    const list = cells.get(at)
    if (list) list.push(i)
    else cells.set(at, [i])
  }
  const placeOf = (node: number): number => {
    const [x, y] = [nodePosition[2 * node]!, nodePosition[2 * node + 1]!]
    let [best, least] = [-1, 10]
    for (const dx of [-1, 0, 1]) {
      for (const dy of [-1, 0, 1]) {
        for (const i of cells.get(cell(x, y) + dx * 1_000_003 + dy) ?? []) {
          const away = Math.hypot((made.places[2 * i]! - x) * METRES.x, (made.places[2 * i + 1]! - y) * METRES.y)
          if (away < least) [best, least] = [i, away]
        }
      }
    }
    return best
  }
  const edges = new Set<number>()
  for (let e = 0; e < from.length; e++) edges.add(placeOf(from[e]!) * count + placeOf(to[e]!))
  let found = 0
  made.from.forEach((place, e) => {
    if (edges.has(place * count + made.to[e]!)) found++
  })
  return found / made.from.length
}
