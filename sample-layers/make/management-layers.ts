import { floodRing, roundRing } from './corridors.ts'
import { type Feature, lineFeature, pointFeature, polygonFeature } from './globe.ts'
import { distance, FRAME, type Point, placeAlong } from './place.ts'
import type { Road } from './roads.ts'
import { draws } from './seeded.ts'
import type { Stream } from './streams.ts'
import { middleOf, patchRing, type SeasonYear, type TruePatch } from './vine.ts'

const inFrame = (x: number, y: number): Point => [FRAME.west + x, FRAME.south + y]

export function roadFeatures(roads: readonly Road[]): Feature[] {
  const surface = { highway: 'paved', county: 'paved', local: 'gravel', street: 'paved' } as const
  return roads.map((road, i) =>
    lineFeature(road.points, {
      id: `T${String(i + 1).padStart(3, '0')}`,
      name: road.name,
      class: road.kind,
      surface: surface[road.kind],
    }),
  )
}

/** Ways that carry the vine: mowing routes, a power line, yard-waste sites. */
export function carrierFeatures(roads: readonly Road[], patches: readonly TruePatch[]): Feature[] {
  const mown = ['Tamsel Creek Road', 'Route 31', 'Mill Road', 'Marl Road']
  const routes = roads
    .filter(road => mown.includes(road.name))
    .map((road, i) =>
      lineFeature(road.points, {
        id: `C${i + 1}`,
        kind: 'mowing route',
        name: `${road.name} verge`,
        from_to: i % 2 === 0 ? 'with' : 'against',
      }),
    )
  const line = [
    inFrame(560, 7100),
    inFrame(2900, 6660),
    inFrame(5350, 6980),
    inFrame(8200, 6420),
    inFrame(10350, 6010),
    inFrame(12560, 6150),
  ]
  const sites = [
    ...['Y01', 'Y02'].map(family => middleOf(patches.find(p => p.family === family) as TruePatch)),
    inFrame(9640, 4520),
    inFrame(3420, 5430),
  ]
  return [
    ...routes,
    lineFeature(line, { id: 'U1', kind: 'utility corridor', name: 'Wennet Power line 4', from_to: null }),
    ...sites.map((at, i) =>
      pointFeature(at, { id: `Y${i + 1}`, kind: 'yard-waste site', name: `yard-waste site ${i + 1}`, from_to: null }),
    ),
  ]
}

export function floodFeatures(course: readonly Point[], streams: readonly Stream[]): Feature[] {
  const [river, creek] = [streams[0] as Stream, streams[1] as Stream]
  return [
    polygonFeature([floodRing(course, 4200, 45, 150, 0)], {
      id: 'FL1',
      name: 'Tamsel Creek and lower Wennet River',
      return_years: 10,
    }),
    polygonFeature([floodRing(river.points.slice(0, creek.joinsAt), 2600, 40, 85, 900)], {
      id: 'FL2',
      name: 'upper Wennet River',
      return_years: 10,
    }),
  ]
}

const TREATMENTS: readonly (readonly [string, SeasonYear, string, string, number, string])[] = [
  ['T03', 2024, '2024-11-05', 'pull and bag', 62, 'downstream half'],
  ['X01', 2024, '2024-11-06', 'pull and bag', 18, 'whole'],
  ['P01', 2025, '2025-04-10', 'cut and bag', 84, 'middle'],
  ['T01', 2023, '2023-10-20', 'pull and bag', 40, 'road side'],
  ['R02', 2024, '2024-11-12', 'foliar, backpack', 12, 'verge'],
  ['S02', 2025, '2025-10-02', 'cut climbing stems', 26, 'along the fence'],
]

/** What crews did: rings where the whole or the middle was treated, points where only a part was. */
export function treatmentFeatures(patches: readonly TruePatch[]): Feature[] {
  return TREATMENTS.map(([family, season, date, method, hours, part], i) => {
    const patch = patches.find(p => p.family === family) as TruePatch
    const properties = { id: `TR${i + 1}`, date, method, person_hours: hours, part }
    if (part === 'whole') return polygonFeature([patchRing(patch, season)], properties)
    if (part === 'middle')
      return polygonFeature([roundRing(middleOf(patch), patch.clearing?.radius ?? 60, 14, 3)], properties)
    if (part === 'downstream half')
      return polygonFeature([roundRing(placeAlong(patch.spine, 60).at, 34, 12, 4)], properties)
    return pointFeature(patch.spine[0] as Point, properties)
  })
}

/** Where the leaf beetle was let go, how many, and whether it was there after a winter. */
export function releaseFeatures(patches: readonly TruePatch[]): Feature[] {
  const rows: readonly (readonly [string, string, number, string | null])[] = [
    ['T01', '2022-06-21', 120, 'yes'],
    ['S01', '2022-06-28', 100, 'no'],
    ['R01', '2023-06-20', 150, 'yes'],
    ['W01', '2023-06-27', 100, 'no'],
    ['T02', '2024-06-18', 120, 'yes'],
    ['Y01', '2024-07-02', 100, 'no'],
    ['T06', '2025-06-17', 120, null],
    ['N01', '2025-07-01', 80, null],
  ]
  return rows.map(([family, date, number, found], i) =>
    pointFeature(middleOf(patches.find(p => p.family === family) as TruePatch), {
      id: `L${i + 1}`,
      date,
      number,
      lot: `lot ${date.slice(0, 4)}-${1 + (i % 3)}`,
      found_after_winter: found,
      herbicide_free_until: `${Number(date.slice(0, 4)) + 1}-04-15`,
    }),
  )
}

/** Plots read before and after the treatments of 2024: six treated, but only three controls, so no effect can be told. */
export function visitFeatures(patches: readonly TruePatch[]): Feature[] {
  const random = draws('plots')
  const plots: readonly (readonly [string, string])[] = [
    ...['T03', 'T03', 'T03', 'R02', 'R02', 'X01'].map(family => ['treated', family] as const),
    ...['T04', 'R01', 'N01'].map(family => ['control', family] as const),
  ]
  return plots.flatMap(([group, family], i) => {
    const patch = patches.find(p => p.family === family) as TruePatch
    const middle = middleOf(patch)
    const at: Point = [middle[0] + random.between(-8, 8), middle[1] + random.between(-8, 8)]
    const before = random.whole(45, 80)
    const after =
      group === 'treated'
        ? Math.round(before * random.between(0.2, 0.7))
        : Math.round(before * random.between(0.75, 1.2))
    return [
      pointFeature(at, {
        id: `PL${i + 1}-1`,
        plot: `PL${i + 1}`,
        group,
        date: `2024-10-${10 + i}`,
        cover_percent: before,
      }),
      pointFeature(at, {
        id: `PL${i + 1}-2`,
        plot: `PL${i + 1}`,
        group,
        date: `2025-10-${12 + i}`,
        cover_percent: after,
      }),
    ]
  })
}

export function protectFeatures(
  course: readonly Point[],
  streams: readonly { readonly points: readonly Point[] }[],
): Feature[] {
  const { at, heading } = placeAlong(course, 13350)
  const wetland: Point = [at[0] + heading[1] * 210, at[1] - heading[0] * 210]
  const head = streams
    .slice(8)
    .map(stream => stream.points[0] as Point)
    .reduce((best, p) => (distance(p, inFrame(7900, 4300)) < distance(best, inFrame(7900, 4300)) ? p : best))
  return [
    polygonFeature([roundRing(wetland, 175, 26, 7)], {
      id: 'K1',
      name: 'Ostermoor sedge meadow',
      kind: 'wetland',
      rule: 'no herbicide within 30 m',
    }),
    polygonFeature([roundRing(head, 38, 16, 8)], {
      id: 'K2',
      name: 'Sedgewell spring',
      kind: 'spring',
      rule: 'hand work only',
    }),
  ]
}
