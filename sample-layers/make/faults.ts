import { toGlobe } from './globe.ts'
import type { Point } from './place.ts'
import { dayText, type Sighting } from './reports.ts'
import { type Draws, draws } from './seeded.ts'
import { placeInPatch, type SeasonYear, type TruePatch } from './vine.ts'

/** Plants the mess of real exports into a season's reports; each planted row says so in `faults`. */
export function plantFaults(
  sightings: readonly Sighting[],
  patches: readonly TruePatch[],
  boundary: readonly Point[],
  season: SeasonYear,
): Sighting[] {
  const random = draws(`faults of ${season}`)
  const rows = sightings.map(sighting => ({
    ...sighting,
    faults: [...sighting.faults],
    written: { ...sighting.written },
  }))
  const clean = random.shuffled(rows.filter(row => row.family === null || !/[FX]|T13|Z/.test(row.family)))
  const take = (count: number, change: (row: Sighting) => void) => {
    for (const row of clean.splice(0, count)) change(row)
  }
  const mark = (row: Sighting, fault: string) => {
    row.faults.push(fault)
    // Nobody has looked at these yet: a person who had would not have accepted them.
    if (fault !== 'missing-accuracy' && fault !== 'accuracy-worse-than-limit') row.status = 'unchecked'
  }
  take(2, row => {
    const [lon, lat] = toGlobe(row.at)
    row.written = { ...row.written, lon: lat.toFixed(6), lat: lon.toFixed(6) }
    mark(row, 'swapped-coordinates')
  })
  take(2, row => {
    row.written = { ...row.written, lon: '0', lat: '0' }
    mark(row, 'zero-coordinates')
  })
  take(2, row => {
    row.written = { ...row.written, date: `2027${row.date.slice(4)}` }
    mark(row, 'future-date')
  })
  take(3, row => {
    const [lon, lat] = toGlobe(row.at)
    row.written = { ...row.written, lon: lon.toFixed(2), lat: lat.toFixed(2) }
    mark(row, 'truncated-coordinates')
  })
  take(2, row => {
    row.written = { ...row.written, date: random.pick(['31/31/2023', 'late spring', '2024-02-30', '??', 'July']) }
    mark(row, 'unparsable-date')
  })
  take(2, row => {
    row.written = { ...row.written, id: '' }
    mark(row, 'blank-id')
  })
  const odd = clean.splice(
    clean.findIndex(row => row.isFound),
    1,
  )
  for (const row of odd) {
    row.written = { ...row.written, cover: 'lots' }
    mark(row, 'unreadable-cover')
  }
  take(12, row => {
    row.accuracy = Math.round(random.between(24, 90))
    row.accuracyLevel = null
    mark(row, 'accuracy-worse-than-limit')
  })
  take(2, row => {
    const corner = boundary[random.whole(0, boundary.length - 1)] as Point
    const middle: Point = [427800, 3951200]
    const out = random.between(1.12, 1.3)
    row.at = [middle[0] + (corner[0] - middle[0]) * out, middle[1] + (corner[1] - middle[1]) * out]
    row.family = null
    row.isFound = false
    row.cover = null
    row.size = null
    mark(row, 'outside-boundary')
  })
  for (const row of rows) if (row.accuracy === null) mark(row, 'missing-accuracy')
  return [
    ...rows,
    ...repeats(clean, random),
    ...winterLooks(rows, patches, season, random),
    ...earlyLooks(clean, season, random),
  ]
}

/** The same look handed in twice, and looks a few metres apart by the same person on the same day. */
function repeats(clean: Sighting[], random: Draws): Sighting[] {
  const found = clean.filter(row => row.isFound)
  const same = [...found.slice(0, 3), ...clean.filter(row => !row.isFound).slice(0, 2)].map(row => ({
    ...row,
    faults: ['duplicate'],
    written: {},
  }))
  const near = found.slice(3, 6).map(row => {
    const [dx, dy] = [random.between(2, 5), random.between(-5, -2)]
    return {
      ...row,
      at: [row.at[0] + dx, row.at[1] + dy] as Point,
      size: null,
      faults: ['near-duplicate'],
      written: {},
    }
  })
  return [...same, ...near]
}

/** Stems and propagules seen in winter, winter sweeps that saw nothing, and people who looked for leaves in January. */
function winterLooks(
  rows: readonly Sighting[],
  patches: readonly TruePatch[],
  season: SeasonYear,
  random: Draws,
): Sighting[] {
  const standing = patches.filter(p => p.reach[season] > 15 && season >= p.reportedFrom)
  const winterDay = () => (season === 2025 ? dayText(2025, 11, random.whole(2, 12)) : winterDayOf(season, random))
  // The data end on 12 November 2025, when propagules drop and stems are still green.
  const evidenceNow = () => (season === 2025 ? 'propagule' : random.pick(['stem', 'propagule'] as const))
  const model = rows.filter(row => row.isFound && row.faults.length === 0)
  const finds = Array.from({ length: 6 }, () => {
    const patch = random.pick(standing)
    const at = placeInPatch(patch, season, random.unit)
    return {
      ...random.pick(model),
      date: winterDay(),
      at,
      family: patch.family,
      evidence: evidenceNow(),
      size: null,
      cover: null,
      faults: ['winter-find'],
      written: {},
    }
  })
  const blanks = rows.filter(row => !row.isFound && row.faults.length === 0)
  const sweeps = random
    .shuffled(blanks)
    .slice(0, 9)
    .map(row => ({
      ...row,
      date: winterDay(),
      evidence: evidenceNow(),
      faults: ['winter-not-found'],
      written: {},
    }))
  const leafless = random
    .shuffled(blanks)
    .slice(9, 14)
    .map(row => ({
      ...row,
      date: winterDay(),
      evidence: 'leaf' as const,
      faults: ['not-found-outside-window'],
      written: {},
    }))
  return [...finds, ...sweeps, ...leafless]
}

function winterDayOf(season: SeasonYear, random: Draws): string {
  return random.pick([
    dayText(season, 12, random.whole(1, 31)),
    dayText(season + 1, 1, random.whole(5, 31)),
    dayText(season + 1, 2, random.whole(1, 28)),
    dayText(season + 1, 3, random.whole(1, 14)),
  ])
}

/** People who looked before there was anything to see. */
function earlyLooks(clean: readonly Sighting[], season: SeasonYear, random: Draws): Sighting[] {
  return clean
    .filter(row => !row.isFound)
    .slice(8, 12)
    .map(row => ({
      ...row,
      date: dayText(season, random.pick([3, 4]), random.whole(17, 28)),
      evidence: 'leaf' as const,
      faults: ['not-found-outside-window'],
      written: {},
    }))
}
