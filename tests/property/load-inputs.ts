import fc from 'fast-check'
import type { DownstreamInput } from '../../core/downstream/index.ts'
import {
  createTask,
  type DownstreamSettings,
  type MultiPolygon,
  type Patch,
  type SpeciesProfile,
  squareMetres,
} from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { linesLayer, placeAt, type TestLine } from '../reference/network-lines.ts'

/** Numbers of the profile for tests; ranges as in the defaults of the design (common practice, no source). */
export const PROFILE: SpeciesProfile = {
  id: 'test-vine',
  name: 'Test vine',
  stemGrowthSeason: { value: 19.812, source: 'test' },
  stemGrowthDay: { value: 0.2032, source: 'test' },
  retention: { ordinary: { value: 200, source: 'test' }, flood: { value: 2000, source: 'test' } },
  retentionRange: { ordinary: { low: 100, high: 500 }, flood: { low: 500, high: 5000 } },
  propagules: { value: 2, source: 'test' },
  propagulesRange: { low: 0.2, high: 20 },
  establishment: { value: 0.01, source: 'test' },
  establishmentRange: { low: 0.001, high: 0.05 },
}

export const settingsWith = (changes: Partial<DownstreamSettings> = {}): DownstreamSettings => ({
  snap: 2,
  isNodingCrossings: false,
  bank: 30,
  bankScale: 10,
  retentionOrdinary: null,
  retentionFlood: null,
  propagules: null,
  draws: 0,
  seed: 1,
  ...changes,
})

/** A square of a given side about a place east and north of the middle of the test ground. */
export function squareAt(east: number, north: number, side: number): MultiPolygon {
  const corners = [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
    [-1, -1],
  ].flatMap(([x, y]) => placeAt(east + (x! * side) / 2, north + (y! * side) / 2))
  return [[Float64Array.from(corners)]]
}

export function patchOf(id: string, outline: MultiPolygon, infestedArea: number): Patch {
  return {
    season: '2024',
    id,
    reportIds: [`r-${id}`],
    planar: [],
    outline,
    infestedPlanar: [],
    grossArea: squareMetres(infestedArea),
    infestedArea: squareMetres(infestedArea),
    netCanopy: null,
    coverKnownShare: 0,
    measuredShare: 1,
    defaultShare: 0,
    infillShare: 0,
    grossInterval: null,
    infestedInterval: null,
    firstSeen: '2024-05-01',
    lastSeen: '2024-09-01',
    isConfirmed: true,
  }
}

/** What a random case is made of; node k stands on a jittered grid of 250 m. */
export interface Case {
  readonly jitter: readonly (readonly [number, number])[]
  readonly lines: readonly {
    readonly from: number
    readonly to: number
    readonly direction: string
    readonly share: number | null
    readonly retention: number | null
    readonly isOutlet: boolean
  }[]
  readonly patches: readonly {
    readonly line: number
    readonly at: number
    readonly off: number
    readonly area: number
  }[]
  readonly barriers: readonly { readonly line: number; readonly at: number; readonly pass: number }[]
}

const NODES = 9

const nodePlace = (jitter: Case['jitter'], node: number): [number, number] => [
  (node % 3) * 250 + jitter[node]![0],
  Math.floor(node / 3) * 250 + jitter[node]![1],
]

export const anyCase: fc.Arbitrary<Case> = fc.record({
  jitter: fc.array(fc.tuple(fc.integer({ min: -60, max: 60 }), fc.integer({ min: -60, max: 60 })), {
    minLength: NODES,
    maxLength: NODES,
  }),
  lines: fc.array(
    fc.record({
      from: fc.nat(NODES - 1),
      to: fc.nat(NODES - 1),
      direction: fc.constantFrom('', 'with', 'with', 'with', 'against', 'both', 'unknown'),
      share: fc.option(fc.constantFrom(0, 0.2, 0.5, 0.9, 1)),
      retention: fc.option(fc.constantFrom(1, 50, 1e6)),
      isOutlet: fc.boolean(),
    }),
    { minLength: 2, maxLength: 14 },
  ),
  patches: fc.array(
    fc.record({
      line: fc.nat(50),
      at: fc.integer({ min: 1, max: 9 }),
      off: fc.integer({ min: 0, max: 40 }),
      area: fc.integer({ min: 1, max: 5000 }),
    }),
    { minLength: 1, maxLength: 4 },
  ),
  barriers: fc.array(
    fc.record({ line: fc.nat(50), at: fc.integer({ min: 0, max: 10 }), pass: fc.constantFrom(0, 0.3, 1) }),
    {
      maxLength: 3,
    },
  ),
})

/** Lines of a case that lead from one place to another one. */
export const linesOf = ({ jitter, lines }: Case): TestLine[] =>
  lines
    .filter(({ from, to }) => from !== to)
    .map(({ from, to, direction, share, retention, isOutlet }) => ({
      path: [placeAt(...nodePlace(jitter, from)), placeAt(...nodePlace(jitter, to))],
      attributes: {
        direction,
        outlet: isOutlet,
        ...(share === null ? {} : { share }),
        ...(retention === null ? {} : { retention_m: retention }),
      },
    }))

/** The network and everything that `routeDownstream` takes. */
export async function inputOf(example: Case): Promise<DownstreamInput | null> {
  const lines = linesOf(example)
  if (lines.length === 0) return null
  const kept = example.lines.filter(({ from, to }) => from !== to)
  const along = (line: number, at: number): [number, number] => {
    const { from, to } = kept[line % kept.length]!
    const [ax, ay] = nodePlace(example.jitter, from)
    const [bx, by] = nodePlace(example.jitter, to)
    return [ax + (at / 10) * (bx - ax), ay + (at / 10) * (by - ay)]
  }
  const network = await buildNetwork(
    { lines: linesLayer(lines), fields: {}, snap: 2, isNodingCrossings: false, outlets: [] },
    createTask(),
  )
  return {
    network,
    season: '2024',
    patches: example.patches.map(({ line, at, off, area }, i) => {
      const [east, north] = along(line, at)
      return patchOf(`p${i}`, squareAt(east + off, north, 16), area)
    }),
    settings: settingsWith(),
    profile: PROFILE,
    barriers: example.barriers.map(({ line, at, pass }, i) => {
      const [longitude, latitude] = placeAt(...along(line, at))
      return { id: `b${i}`, longitude, latitude, pass }
    }),
    flood: null,
  }
}
