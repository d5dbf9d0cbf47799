import fc from 'fast-check'
import { expect, it } from 'vitest'
import { measureDistance, measurePathLength } from '../../core/geo/index.ts'
import { createTask, type ReachNetwork } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { extractLinePaths } from '../../core/network/line-paths.ts'
import { buildPathField, findCrossings, findTouches } from '../../core/network/path-contacts.ts'
import { ShortLengths } from '../../core/network/short-lengths.ts'
import { createRandom } from '../../core/stats/index.ts'
import { linesLayer, placeAt, type TestLine } from '../reference/network-lines.ts'

/** Tangles of short and long lines in general position: the cells of the grid must hold both. */
const tangle: fc.Arbitrary<TestLine[]> = fc
  .tuple(fc.integer({ min: 1, max: 1e9 }), fc.integer({ min: 2, max: 9 }))
  .map(([seed, count]) => {
    const random = createRandom(seed)
    return Array.from({ length: count }, (_, i) => {
      const limit = [60, 400, 4000][random.integer(3)]!
      const path = [0, 1, 2].map(() => placeAt(limit * (random.next() - 0.5), limit * (random.next() - 0.5)))
      return { path, attributes: { id: `line ${i}` } }
    })
  })

it('finds every crossing and touch that looking at all pairs of segments finds, and no other', async () => {
  await fc.assert(
    fc.asyncProperty(tangle, async lines => {
      const paths = extractLinePaths(linesLayer(lines), createTask())
      const field = buildPathField(paths, 2)
      const [crossings, touches] = [
        await findCrossings(field, 2, createTask()),
        await findTouches(field, 2, createTask()),
      ]
      const ends = (path: number) => [paths.offsets[path]!, paths.offsets[path + 1]! - 1]
      const at = (i: number): [number, number] => [paths.coords[2 * i]!, paths.coords[2 * i + 1]!]
      const isByEnd = (x: number, y: number, ...of: number[]) =>
        of.flatMap(ends).some(end => measureDistance(x, y, ...at(end)) <= 2)
      let expected = 0
      for (let a = 0; a < paths.pathCount; a++) {
        for (let b = a; b < paths.pathCount; b++) {
          for (let i = ends(a)[0]!; i < ends(a)[1]!; i++) {
            for (let j = a === b ? i + 2 : ends(b)[0]!; j < ends(b)[1]!; j++) {
              const met = meet(at(i), at(i + 1), at(j), at(j + 1))
              if (met !== null && !isByEnd(...met, a, b)) expected++
            }
          }
        }
      }
      expect(crossings.count).toBe(expected)
      let touching = 0
      for (let a = 0; a < paths.pathCount; a++) {
        for (const end of ends(a)) {
          for (let b = 0; b < paths.pathCount; b++) {
            if (a === b || isByEnd(...at(end), b)) continue
            let least = Number.POSITIVE_INFINITY
            for (let j = ends(b)[0]!; j < ends(b)[1]!; j++)
              for (let t = 0; t <= 1; t += 1 / 4096) {
                const [x, y] = [at(j)[0] + t * (at(j + 1)[0] - at(j)[0]), at(j)[1] + t * (at(j + 1)[1] - at(j)[1])]
                const [dx, dy] = [(x - at(end)[0]) * 90_000, (y - at(end)[1]) * 110_000]
                if (dx * dx + dy * dy < 100) least = Math.min(least, measureDistance(x, y, ...at(end)))
              }
            if (least <= 1.999) touching++
          }
        }
      }
      expect(touches.count).toBeGreaterThanOrEqual(touching)
      for (let k = 0; k < touches.count; k++) {
        const vertex = Math.floor(touches.placeB[k]!)
        const t = touches.placeB[k]! - vertex
        const [a, b] = [at(vertex), at(vertex + 1)]
        const foot = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])] as const
        expect(measureDistance(...foot, ...at(touches.placeA[k]!))).toBeLessThan(2.001)
      }
    }),
    { numRuns: 25, seed: 17 },
  )
})

/** Where two segments cross, by which side of each the ends of the other lie on. */
function meet(a: Place, b: Place, c: Place, d: Place): [number, number] | null {
  const side = (p: Place, q: Place, r: Place) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
  const [sa, sb, sc, sd] = [side(c, d, a), side(c, d, b), side(a, b, c), side(a, b, d)]
  if (sa * sb >= 0 || sc * sd >= 0) return null
  const t = sa / (sa - sb)
  return [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
}
type Place = readonly [number, number]

/** Reaches by their line and vertices, without their numbers. */
const reachesOf = (network: ReachNetwork): string[] =>
  Array.from({ length: network.reachCount }, (_, r) => {
    const coords = network.coords.slice(2 * network.vertexOffsets[r]!, 2 * network.vertexOffsets[r + 1]!)
    const nodes = [network.from[r], network.to[r]]
    const { id } = network.lines[network.line[r]!]!
    return JSON.stringify([id, [...coords], nodes, network.length[r], network.evidence[r], network.problem[r]])
  }).sort()

it('gives the same nodes, reaches and repairs to the last bit, whatever the order of the rows', async () => {
  await fc.assert(
    fc.asyncProperty(tangle, fc.boolean(), fc.integer({ min: 1, max: 8 }), async (lines, isNoding, turn) => {
      const build = (rows: readonly TestLine[]) =>
        buildNetwork(
          { lines: linesLayer(rows), fields: {}, snap: 2, isNodingCrossings: isNoding, outlets: [] },
          createTask(),
        )
      const rows = [...lines.slice(turn % lines.length), ...lines.slice(0, turn % lines.length)].reverse()
      const [first, second] = [await build(lines), await build(rows)]
      expect([...second.nodePosition]).toEqual([...first.nodePosition])
      expect(reachesOf(second)).toEqual(reachesOf(first))
      const ids = ({ repairs }: ReachNetwork) => repairs.map(({ id, proposal }) => `${id} ${proposal}`).sort()
      expect(ids(second)).toEqual(ids(first))
    }),
    { numRuns: 100, seed: 19 },
  )
})

it('measures short edges as the geodesic does, to 2e-9', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -84, max: 84, noNaN: true }),
      fc.double({ min: -0.049, max: 0.049, noNaN: true }),
      fc.double({ min: -0.049, max: 0.049, noNaN: true }),
      (latitude, dx, dy) => {
        const path = Float64Array.of(10, latitude, 10 + dx, latitude + dy)
        const exact = measurePathLength(path)
        // The geodesic itself is good to 15 nm.
        expect(Math.abs(new ShortLengths().measurePath(path, 0, 1) - exact)).toBeLessThanOrEqual(2e-9 * exact + 3e-8)
      },
    ),
    { numRuns: 2000, seed: 23 },
  )
})
