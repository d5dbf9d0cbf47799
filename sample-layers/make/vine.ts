import { between, distance, FRAME, isInRing, lineBetween, nearestOnLine, type Point, placeAlong } from './place.ts'
import type { Road } from './roads.ts'
import { draws } from './seeded.ts'
import { cos, sin, TAU } from './steady-math.ts'
import type { Stream } from './streams.ts'
import { vineCourse } from './waterways.ts'

export const SEASONS = [2021, 2022, 2023, 2024, 2025] as const
export type SeasonYear = (typeof SEASONS)[number]

/** What a planted patch is there to show. */
export type Role =
  | 'spread'
  | 'steady'
  | 'merging'
  | 'splitting'
  | 'cut back'
  | 'cleared'
  | 'newly found'
  | 'jump'
  | 'single'

/** A true patch of the vine: all ground within `reach` metres of its spine; its edge moves out by `growth` a season. */
export interface TruePatch {
  readonly family: string
  readonly role: Role
  readonly spine: readonly Point[]
  /** First season in which it stands, and in which anybody can have reported it. */
  readonly since: number
  readonly reportedFrom: number
  readonly growth: number
  /** Reach of the edge from the spine, by season; 0 where it does not stand. */
  readonly reach: Readonly<Record<SeasonYear, number>>
  /** Ground within this distance of the middle is clear from the given season on. */
  readonly clearing: { readonly from: number; readonly radius: number } | null
  /** How easily people come here: 1 ordinary. */
  readonly access: number
  /** Distance along the course of its middle, metres; null off the course. */
  readonly along: number | null
}

/** Planted patches along the course: name, metres along it, off it (left positive), half length, first season, first reach, growth. */
const ALONG: readonly (readonly [string, number, number, number, number, number, number, Role])[] = [
  ['T01', 4900, 10, 22, 2020, 10, 9, 'spread'],
  ['T02', 5190, -12, 16, 2020, 8, 10, 'spread'],
  ['T03', 5480, 9, 20, 2020, 7, 11.5, 'cut back'],
  ['T04', 5860, -8, 14, 2021, 9, 12, 'spread'],
  ['T05', 6130, 12, 14, 2022, 9, 12, 'spread'],
  ['T06', 6440, -10, 14, 2022, 8, 13, 'spread'],
  ['T07', 6790, 8, 14, 2022, 10, 11.5, 'spread'],
  ['T08', 7060, -9, 16, 2023, 12, 13, 'spread'],
  ['T09', 7490, 11, 14, 2023, 11, 12.5, 'spread'],
  ['T10', 4560, 9, 12, 2023, 10, 9, 'spread'],
  ['T11', 8010, -12, 12, 2024, 10, 12, 'spread'],
  ['T12', 8540, 10, 14, 2024, 11, 13, 'spread'],
  ['T13', 9590, -9, 10, 2025, 12, 12, 'jump'],
  ['T14', 7760, 10, 8, 2025, 11, 12, 'spread'],
]

/** Planted patches elsewhere: name, metres from the frame's corner, half length, first season, first reported, reach, growth, role, access. */
const ELSEWHERE: readonly (readonly [string, number, number, number, number, number, number, number, Role, number])[] =
  [
    ['R01', 3050, 6560, 14, 2020, 2021, 9, 9, 'spread', 1.3],
    ['R02', 6690, 3180, 12, 2020, 2021, 8, 10, 'spread', 1.3],
    ['R03', 9480, 5420, 12, 2020, 2021, 9, 11, 'spread', 1.3],
    ['Y01', 8190, 6090, 12, 2020, 2021, 9, 10.5, 'spread', 1.4],
    ['Y02', 6350, 1790, 14, 2021, 2022, 9, 12, 'spread', 1.2],
    ['N01', 7280, 6890, 12, 2021, 2022, 9, 12.5, 'spread', 1.1],
    ['W01', 4060, 3260, 14, 2020, 2021, 9, 10, 'spread', 1],
    ['S01', 10020, 6600, 20, 2016, 2021, 34, 0, 'steady', 1.1],
    ['S02', 5150, 7860, 18, 2016, 2021, 38, 0, 'steady', 1.1],
    ['M1a', 8850, 5120, 0, 2022, 2022, 9, 14, 'merging', 1.5],
    ['M1b', 8850, 5120, 0, 2022, 2022, 9, 14, 'merging', 1.5],
    ['P01', 5180, 5800, 105, 2020, 2021, 15, 2, 'splitting', 2.3],
    ['X01', 3960, 1530, 8, 2022, 2022, 9, 4.5, 'cleared', 1.2],
    ['F01', 1560, 6420, 14, 2021, 2025, 13, 8, 'newly found', 1.2],
    ['F02', 11480, 3200, 10, 2022, 2025, 12, 8, 'newly found', 1.1],
    ['F03', 2250, 2950, 12, 2020, 2024, 11, 9, 'newly found', 1],
    ['F04', 11250, 7050, 10, 2019, 2023, 10, 9, 'newly found', 1],
  ]

/** Where the water takes the vine, and everything else that stands in the county, season by season. */
export function growVine(streams: readonly Stream[], roads: readonly Road[], boundary: readonly Point[]): TruePatch[] {
  const course = vineCourse(streams)
  const random = draws('vine')
  const patches: TruePatch[] = ALONG.map(([family, along, off, half, since, first, growth, role]) => ({
    family,
    role,
    spine: besideCourse(course, along, off, half),
    since,
    reportedFrom: since,
    growth,
    reach: reaches(since, first, growth, role),
    clearing: null,
    access: role === 'cut back' ? 1.4 : 1,
    along,
  }))
  for (const [family, x, y, half, since, reportedFrom, first, growth, role, access] of ELSEWHERE) {
    const place: Point = [FRAME.west + x, FRAME.south + y]
    const middle = 'RY'.includes(family.charAt(0)) ? besideRoad(place, roads) : place
    // The merging pair stands 124 m apart, and the gap between them closes by 28 m a season.
    const shift = family === 'M1a' ? -57.5 : family === 'M1b' ? 57.5 : 0
    patches.push({
      family,
      role,
      spine: straight([middle[0] + shift, middle[1] + shift * 0.4], half, random.between(0, TAU / 2)),
      since,
      reportedFrom,
      growth,
      reach: reaches(since, first, growth, role),
      clearing: role === 'splitting' ? { from: 2025, radius: 58 } : null,
      access,
      along: null,
    })
  }
  return [...patches, ...scatterSingles(patches, boundary)]
}

function reaches(since: number, first: number, growth: number, role: Role): Record<SeasonYear, number> {
  const entries = SEASONS.map(year => {
    const grown = year < since ? 0 : first + growth * (year - since)
    if (role === 'cleared' && year === 2025) return [year, 0]
    // Cut back after the season of 2024: half of what it had gained is gone.
    if (role === 'cut back' && year === 2025) return [year, 0.42 * (first + growth * (2024 - since))]
    return [year, grown]
  })
  return Object.fromEntries(entries) as Record<SeasonYear, number>
}

function besideCourse(course: readonly Point[], along: number, off: number, half: number): Point[] {
  const piece = lineBetween(course, along - half, along + half)
  return piece.map((_, i) => {
    const { at, heading } = placeAlong(course, along - half + (2 * half * i) / (piece.length - 1))
    return [at[0] - heading[1] * off, at[1] + heading[0] * off]
  })
}

/** The place 16 m toward here from the nearest road. */
function besideRoad(place: Point, roads: readonly Road[]): Point {
  let best = { away: Number.POSITIVE_INFINITY, at: place }
  for (const road of roads) {
    const near = nearestOnLine(place, road.points)
    if (near.away < best.away) best = near
  }
  return between(best.at, place, Math.min(1, 16 / best.away))
}

function straight(middle: Point, half: number, angle: number): Point[] {
  const [dx, dy] = [Math.max(half, 0.5) * cos(angle), Math.max(half, 0.5) * sin(angle)]
  return [
    [middle[0] - dx, middle[1] - dy],
    [middle[0] + dx, middle[1] + dy],
  ]
}

/** A dozen plants that came up alone, each in one season or two, far from everything else. */
function scatterSingles(patches: readonly TruePatch[], boundary: readonly Point[]): TruePatch[] {
  const random = draws('singles')
  const singles: TruePatch[] = []
  while (singles.length < 24) {
    const at: Point = [FRAME.west + random.between(700, 12300), FRAME.south + random.between(600, 9300)]
    const isFree = [...patches, ...singles].every(other => distance(at, other.spine[0] as Point) > 420)
    if (!isFree || !isInRing(at, boundary)) continue
    const year = SEASONS[singles.length % 5] as SeasonYear
    const stays = random.chance(0.35)
    const reach = Object.fromEntries(SEASONS.map(y => [y, y === year || (stays && y === year + 1) ? 4 : 0])) as Record<
      SeasonYear,
      number
    >
    singles.push({
      family: `Z${String(singles.length + 1).padStart(2, '0')}`,
      role: 'single',
      spine: straight(at, 0.5, 0),
      since: year,
      reportedFrom: year,
      growth: 0,
      reach,
      clearing: null,
      access: 0.2,
      along: null,
    })
  }
  return singles
}

export const middleOf = (patch: TruePatch): Point => placeAlong(patch.spine, lineLengthOf(patch) / 2).at

const lineLengthOf = (patch: TruePatch): number => {
  let sum = 0
  for (let i = 0; i + 1 < patch.spine.length; i++) sum += distance(patch.spine[i] as Point, patch.spine[i + 1] as Point)
  return sum
}

/** Whether a place lies in the true patch of a season. */
export function isInPatch(patch: TruePatch, season: SeasonYear, place: Point): boolean {
  const reach = patch.reach[season]
  if (reach <= 0 || nearestOnLine(place, patch.spine).away > reach) return false
  return !(patch.clearing && season >= patch.clearing.from && distance(place, middleOf(patch)) < patch.clearing.radius)
}

export function patchArea(patch: TruePatch, season: SeasonYear): number {
  const reach = patch.reach[season]
  return reach <= 0 ? 0 : Math.PI * reach * reach + 2 * reach * lineLengthOf(patch)
}

/** A place at random in the true patch, every part of it alike. */
export function placeInPatch(patch: TruePatch, season: SeasonYear, unit: () => number): Point {
  const reach = patch.reach[season]
  const xs = patch.spine.map(p => p[0])
  const ys = patch.spine.map(p => p[1])
  const [west, east] = [Math.min(...xs) - reach, Math.max(...xs) + reach]
  const [south, north] = [Math.min(...ys) - reach, Math.max(...ys) + reach]
  for (;;) {
    const place: Point = [west + unit() * (east - west), south + unit() * (north - south)]
    if (isInPatch(patch, season, place)) return place
  }
}

/** Outline of the true patch (ring, 40 corners): as far as it reaches in each direction from its middle. */
export function patchRing(patch: TruePatch, season: SeasonYear): Point[] {
  const middle = middleOf(patch)
  return Array.from({ length: 40 }, (_, k): Point => {
    const [c, s] = [cos((TAU * k) / 40), sin((TAU * k) / 40)]
    let [low, high] = [0, 600]
    while (high - low > 0.05) {
      const r = (low + high) / 2
      if (nearestOnLine([middle[0] + r * c, middle[1] + r * s], patch.spine).away <= patch.reach[season]) low = r
      else high = r
    }
    return [middle[0] + low * c, middle[1] + low * s]
  })
}

/** Sqrt(2) x root mean square distance from the patch's own middle: the radius of the even disc with that scatter. */
export function scatterRadius(patch: TruePatch, season: SeasonYear): number {
  const ring = patchRing(patch, season)
  const [west, east] = [Math.min(...ring.map(p => p[0])), Math.max(...ring.map(p => p[0]))]
  const [south, north] = [Math.min(...ring.map(p => p[1])), Math.max(...ring.map(p => p[1]))]
  const inside: Point[] = []
  for (let i = 0; i < 60; i++)
    for (let j = 0; j < 60; j++) {
      const place: Point = [west + ((i + 0.5) / 60) * (east - west), south + ((j + 0.5) / 60) * (north - south)]
      if (isInPatch(patch, season, place)) inside.push(place)
    }
  const mean: Point = [
    inside.reduce((s, p) => s + p[0], 0) / inside.length,
    inside.reduce((s, p) => s + p[1], 0) / inside.length,
  ]
  const square = inside.reduce((s, p) => s + (p[0] - mean[0]) ** 2 + (p[1] - mean[1]) ** 2, 0) / inside.length
  return Math.sqrt(2 * square)
}
