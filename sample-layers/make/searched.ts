import { corridorRing, roundRing } from './corridors.ts'
import { type Feature, polygonFeature } from './globe.ts'
import { distance, isInRing, lineLength, nearestOnLine, type Point, placeAlong } from './place.ts'
import { dayText } from './reports.ts'
import type { Road } from './roads.ts'
import { draws } from './seeded.ts'
import { middleOf, SEASONS, type SeasonYear, type TruePatch } from './vine.ts'

export interface SearchedGround {
  readonly season: SeasonYear
  readonly ring: readonly Point[]
  readonly feature: Feature
  /** Family whose outline it cuts, if it was searched for that. */
  readonly cuts: string | null
}

/** Stretches of the course that were walked and found clear, metres along it; none of them ran through a standing patch. */
const WALKS: Readonly<Record<SeasonYear, readonly (readonly [number, number])[]>> = {
  2021: [
    [4400, 4740],
    [5990, 6260],
    [6330, 7260],
  ],
  2022: [
    [6950, 7300],
    [7340, 7640],
  ],
  2023: [
    [7700, 8250],
    [8300, 8720],
    [9380, 9860],
  ],
  2024: [
    [7640, 7880],
    [8860, 9240],
    [9330, 9900],
  ],
  2025: [
    [8760, 9420],
    [9740, 10500],
    [11300, 12050],
    [12350, 13000],
  ],
}

/** Families with a side that was searched late and found clear: the outline loses that ground. */
const CUT_BESIDE: Readonly<Partial<Record<SeasonYear, readonly string[]>>> = {
  2024: ['W01', 'R03'],
  2025: ['W01', 'S02', 'T05'],
}

export function buildSearched(
  course: readonly Point[],
  roads: readonly Road[],
  boundary: readonly Point[],
  patches: readonly TruePatch[],
): SearchedGround[] {
  const random = draws('searched ground')
  const all: SearchedGround[] = []
  const add = (season: SeasonYear, date: string, ring: readonly Point[], cuts: string | null, kind: string) => {
    const training = random.pick(['trained', 'trained', 'staff'] as const)
    const recorder =
      training === 'staff' ? `S0${random.whole(1, 7)}` : `R${String(random.whole(1, 90)).padStart(3, '0')}`
    const properties = {
      id: `G${String(season).slice(2)}-${String(all.length + 1).padStart(2, '0')}`,
      date,
      found: 'no',
      recorder,
      evidence: 'leaf',
      training,
      kind,
    }
    all.push({ season, ring, cuts, feature: polygonFeature([ring], properties) })
  }
  for (const season of SEASONS) {
    for (const [from, to] of WALKS[season])
      add(
        season,
        dayText(season, random.whole(6, 9), random.whole(1, 30)),
        corridorRing(course, from, to, 45, () => 46),
        null,
        'creek walk',
      )
    for (let k = 0; k < (season === 2023 ? 3 : 6); k++) {
      const at = clearField(roads, boundary, patches, season, random)
      add(
        season,
        dayText(season, random.whole(6, 9), random.whole(1, 30)),
        roundRing(at, random.between(70, 150), 9, k),
        null,
        'field',
      )
    }
    for (const family of CUT_BESIDE[season] ?? []) {
      const patch = patches.find(p => p.family === family) as TruePatch
      const middle = middleOf(patch)
      const [first, last] = [patch.spine[0] as Point, patch.spine[patch.spine.length - 1] as Point]
      const length = distance(first, last)
      const out = patch.reach[season] + 18
      const at: Point = [
        middle[0] - ((last[1] - first[1]) / length) * out,
        middle[1] + ((last[0] - first[0]) / length) * out,
      ]
      add(season, dayText(season, 10, 31), roundRing(at, 30, 10, season), family, 'edge check')
    }
  }
  return all
}

/** A field beside a road, off every standing patch and off ground that is to stay unseen. */
function clearField(
  roads: readonly Road[],
  boundary: readonly Point[],
  patches: readonly TruePatch[],
  season: SeasonYear,
  random: ReturnType<typeof draws>,
): Point {
  for (;;) {
    const road = random.pick(roads.filter(r => r.kind !== 'street'))
    const { at } = placeAlong(road.points, random.unit() * lineLength(road.points))
    const place: Point = [at[0] + random.between(-160, 160), at[1] + random.between(-160, 160)]
    const isFree = patches.every(
      p => nearestOnLine(place, p.spine).away > p.reach[2025] + (season < p.reportedFrom ? 330 : 240),
    )
    if (isFree && isInRing(place, boundary)) return place
  }
}
