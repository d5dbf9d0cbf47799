import type { Feature } from './globe.ts'
import { polygonFeature, toGlobe } from './globe.ts'
import type { WrittenSeason } from './report-files.ts'
import type { SearchedGround } from './searched.ts'
import { middleOf, patchArea, patchRing, SEASONS, type SeasonYear, scatterRadius, type TruePatch } from './vine.ts'
import type { PlantedWater } from './waterways.ts'

/** Reports that the program must find fault with: where each stands in its file. */
interface PlantedRow {
  readonly file: string
  readonly row: number
  readonly id: string
  readonly kind: string
}

const round = (value: number, digits: number): number => Number(value.toFixed(digits))

/** Everything that was planted, for tests to hold results against. */
export function describeTruth(
  patches: readonly TruePatch[],
  written: ReadonlyMap<SeasonYear, WrittenSeason>,
  water: PlantedWater,
  searched: readonly SearchedGround[],
) {
  const faults: PlantedRow[] = []
  const finds: Record<string, Record<string, string[]>> = {}
  for (const season of SEASONS) {
    const { rows, ids } = written.get(season) as WrittenSeason
    const ofSeason: Record<string, string[]> = {}
    rows.forEach((row, i) => {
      for (const kind of row.faults)
        faults.push({ file: `reports-${season}.csv`, row: i + 2, id: ids[i] as string, kind })
      if (row.isFound && row.family !== null) ofSeason[row.family] = [...(ofSeason[row.family] ?? []), ids[i] as string]
    })
    finds[season] = ofSeason
  }
  return {
    about: 'What was planted when the sample county was made. Lengths in metres, areas in square metres.',
    data_to: '2025-11-12',
    families: patches.map(describeFamily),
    edge_move: edgeMoves(patches, finds),
    finds,
    statuses: expectedStatuses(patches),
    jump: jumpTruth(patches),
    along_water_front: SEASONS.map(season => ({
      season: String(season),
      farthest_along_m: round(front(patches, season), 0),
    })),
    cannot_be_concluded: [
      {
        what: 'whether the cleared patch is gone',
        family: 'X01',
        season: '2025',
        clear_visits: 4,
        why: 'one season of four clear visits by trained people leaves the vine likely enough',
      },
      {
        what: 'whether treatment reduced cover',
        file: 'visits.geojson',
        treated_plots: 6,
        control_plots: 3,
        why: 'at least five plots of each are needed',
      },
    ],
    cut_outs: searched
      .filter(ground => ground.cuts !== null)
      .map(ground => ({ id: ground.feature.properties.id, season: String(ground.season), family: ground.cuts })),
    planted_reports: faults,
    planted_water: water,
  }
}

function describeFamily(patch: TruePatch) {
  const [lon, lat] = toGlobe(middleOf(patch))
  return {
    family: patch.family,
    role: patch.role,
    middle: [lon, lat],
    along_m: patch.along,
    since: patch.since,
    reported_from: patch.reportedFrom,
    reach_m: Object.fromEntries(SEASONS.map(s => [s, round(patch.reach[s], 2)])),
    area_m2: Object.fromEntries(SEASONS.map(s => [s, round(patchArea(patch, s), 0)])),
  }
}

/** True move of the edge, and of the radius of the even disc with the same scatter, of families with 5 finds in both seasons. */
function edgeMoves(patches: readonly TruePatch[], finds: Record<string, Record<string, string[]>>) {
  return SEASONS.slice(1).map((season, i) => {
    const before = SEASONS[i] as SeasonYear
    const families = patches
      .filter(p => (finds[before]?.[p.family]?.length ?? 0) >= 5 && (finds[season]?.[p.family]?.length ?? 0) >= 5)
      .map(p => ({
        family: p.family,
        edge_move_m: round(p.reach[season] - p.reach[before], 2),
        scatter_radius_move_m: round(scatterRadius(p, season) - scatterRadius(p, before), 2),
        finds: [finds[before]?.[p.family]?.length ?? 0, finds[season]?.[p.family]?.length ?? 0],
      }))
    return { from: String(before), to: String(season), families }
  })
}

/** What the outlines of a season must be called, where it was planted so. */
function expectedStatuses(patches: readonly TruePatch[]) {
  const of = (family: string, season: SeasonYear, status: string) => ({ family, season: String(season), status })
  const first = patches
    .filter(p => p.role !== 'single' && p.reportedFrom === 2021)
    .map(p => of(p.family, 2021, 'first'))
  const fresh = ['T05', 'T06', 'T07'].map(f => of(f, 2022, 'new'))
  const later = [
    of('T08', 2023, 'new'),
    of('T09', 2023, 'new'),
    of('T10', 2023, 'new'),
    of('T11', 2024, 'new'),
    of('T12', 2024, 'new'),
    of('T13', 2025, 'new'),
    of('T14', 2025, 'new'),
  ]
  const found = patches
    .filter(p => p.role === 'newly found')
    .map(p => of(p.family, p.reportedFrom as SeasonYear, 'newly_found'))
  return [
    ...first,
    ...fresh,
    ...later,
    ...found,
    of('T03', 2025, 'shrunk'),
    of('P01', 2025, 'split'),
    of('M1a', 2025, 'merged'),
    of('M1b', 2025, 'merged'),
    of('X01', 2025, 'not_seen'),
  ]
}

const front = (patches: readonly TruePatch[], season: SeasonYear): number =>
  Math.max(...patches.filter(p => p.along !== null && p.reach[season] > 0).map(p => p.along as number))

function jumpTruth(patches: readonly TruePatch[]) {
  const jump = patches.find(p => p.role === 'jump') as TruePatch
  const last = patches
    .filter(p => p.along !== null && p.reach[2024] > 0)
    .reduce((best, p) => ((p.along as number) > (best.along as number) ? p : best))
  return {
    family: jump.family,
    season: '2025',
    from_family: last.family,
    along_water_m: (jump.along as number) - (last.along as number),
    route: 'water',
    searched_before: ['2023', '2024'],
  }
}

/** The true patches themselves, one feature a family and season. */
export function truthFeatures(patches: readonly TruePatch[]): Feature[] {
  return SEASONS.flatMap(season =>
    patches
      .filter(p => p.reach[season] > 0)
      .map(p =>
        polygonFeature([patchRing(p, season)], {
          family: p.family,
          season: String(season),
          role: p.role,
          cleared_middle_m: p.clearing && season >= p.clearing.from ? p.clearing.radius : null,
        }),
      ),
  )
}
