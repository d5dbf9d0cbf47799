import { isInRing, lineLength, nearestOnLine, type Point, placeAlong } from './place.ts'
import type { Road } from './roads.ts'
import { type Draws, draws } from './seeded.ts'
import { exp } from './steady-math.ts'
import type { Stream } from './streams.ts'
import { isInPatch, middleOf, patchArea, placeInPatch, type SeasonYear, type TruePatch } from './vine.ts'

/** A report before it is written down: places in UTM metres, dates as YYYY-MM-DD. */
export interface Sighting {
  date: string
  at: Point
  isFound: boolean
  evidence: 'leaf' | 'propagule' | 'stem' | ''
  cover: number | null
  size: number | null
  accuracy: number | null
  accuracyLevel: 68 | 95 | null
  recorder: string
  training: 'new' | 'trained' | 'staff'
  confirmedBy: string
  status: 'unchecked' | 'accepted' | 'held' | 'rejected'
  extent: number | null
  consent: 'exact' | 'parcel' | 'cell' | 'withheld'
  /** True patch that it stands for; null for a look at clear ground. */
  family: string | null
  season: SeasonYear
  /** Kinds of planted faults, and what the row says instead of the truth. */
  faults: string[]
  written: Partial<Record<'id' | 'date' | 'lon' | 'lat' | 'cover', string>>
}

/** How hard people looked: reports a season, and finds relative to the area that stands. */
const EFFORT: Readonly<Record<SeasonYear, { reports: number; finds: number }>> = {
  2021: { reports: 545, finds: 0.9 },
  2022: { reports: 610, finds: 0.95 },
  2023: { reports: 455, finds: 0.6 },
  2024: { reports: 655, finds: 0.92 },
  2025: { reports: 775, finds: 1.0 },
}

export interface County {
  readonly streams: readonly Stream[]
  readonly roads: readonly Road[]
  readonly boundary: readonly Point[]
  readonly patches: readonly TruePatch[]
}

/** All looks of a season inside the leaf window, before any fault is planted. */
export function sightSeason(county: County, season: SeasonYear): Sighting[] {
  const random = draws(`reports of ${season}`)
  const people = crew()
  const finds = county.patches.flatMap(patch => {
    if (patch.reach[season] <= 0 || season < patch.reportedFrom) return []
    const ideal = 21 * (1 - exp(-patchArea(patch, season) / 8000)) * EFFORT[season].finds * patch.access
    const count = patch.role === 'single' ? 1 : Math.max(season === patch.reportedFrom ? 2 : 1, Math.round(ideal))
    const found = Array.from({ length: count }, () => findIn(patch, season, random, people))
    // The oldest patch is the first that anybody reported.
    return patch.family === 'T01' && season === 2021
      ? found.map((find, i) => (i === 0 ? { ...find, date: '2021-05-01' } : find))
      : found
  })
  const clear: Sighting[] = []
  const wanted = EFFORT[season].reports - finds.length
  for (const patch of county.patches) clear.push(...checksBefore(patch, season, random, people))
  while (clear.length < wanted) {
    const place = placeToLook(county, season, random)
    if (place && !isKeptUnseen(county, season, place)) clear.push(lookAt(place, season, random, people))
  }
  return [...finds, ...clear.slice(0, wanted)]
}

interface Person {
  readonly code: string
  readonly training: Sighting['training']
}

function crew(): Person[] {
  const random = draws('recorders')
  return Array.from({ length: 128 }, (_, i): Person => {
    if (i < 7) return { code: `S${String(i + 1).padStart(2, '0')}`, training: 'staff' }
    return { code: `R${String(i - 6).padStart(3, '0')}`, training: random.chance(0.45) ? 'trained' : 'new' }
  })
}

/** A few people make most of the reports. */
function pickPerson(people: readonly Person[], random: Draws): Person {
  const staff = random.chance(0.13)
  if (staff) return people[random.whole(0, 6)] as Person
  const u = random.unit()
  return people[7 + Math.floor(u * u * (people.length - 7))] as Person
}

function findIn(patch: TruePatch, season: SeasonYear, random: Draws, people: readonly Person[]): Sighting {
  const truth = placeInPatch(patch, season, random.unit)
  const person = pickPerson(people, random)
  const confirmed = person.training === 'staff' || random.chance(person.training === 'trained' ? 0.42 : 0.24)
  const grown = Math.max(0.3, Math.min(1, patch.reach[season] / 45))
  return {
    ...look(truth, season, random, person),
    isFound: true,
    cover: random.chance(0.12)
      ? null
      : Math.min(6, Math.max(1, Math.round(1 + 4.4 * grown * random.unit() + 0.6 * random.normal() + 0.4))),
    size: random.chance(0.6) ? sizeStated(patch, season, random) : null,
    confirmedBy: confirmed ? `S0${random.whole(1, 7)}` : '',
    family: patch.family,
  }
}

function sizeStated(patch: TruePatch, season: SeasonYear, random: Draws): number {
  const size = Math.min(random.around(120, 0.6), 0.6 * patchArea(patch, season), 400)
  return size < 20 ? Math.round(size) : Math.round(size / 5) * 5
}

function lookAt(place: Point, season: SeasonYear, random: Draws, people: readonly Person[]): Sighting {
  return look(place, season, random, pickPerson(people, random))
}

function look(truth: Point, season: SeasonYear, random: Draws, person: Person): Sighting {
  const accuracy = Math.min(17, random.around(5.5, 0.45))
  // The circular normal holds 68 % within 1.51 standard deviations.
  const spread = accuracy / 1.51
  const at: Point = [truth[0] + spread * random.normal(), truth[1] + spread * random.normal()]
  const is95 = random.chance(0.08)
  const missing = random.chance(0.055)
  const status = random.chance(season === 2025 ? 0.34 : 0.68) ? 'accepted' : random.chance(0.03) ? 'held' : 'unchecked'
  return {
    date: leafDay(season, random),
    at,
    isFound: false,
    evidence: random.chance(0.35) ? '' : 'leaf',
    cover: null,
    size: null,
    accuracy: missing ? null : Math.round((is95 ? accuracy * 1.62 : accuracy) * 10) / 10,
    accuracyLevel: missing ? null : is95 ? 95 : random.chance(0.3) ? 68 : null,
    recorder: person.code,
    training: person.training,
    confirmedBy: '',
    status,
    extent: random.chance(0.55) ? random.pick([10, 15, 20, 25, 25, 30, 40]) : null,
    consent: random.pick([
      'exact',
      'exact',
      'exact',
      'exact',
      'exact',
      'exact',
      'parcel',
      'parcel',
      'parcel',
      'cell',
      'cell',
      'withheld',
    ] as const),
    family: null,
    season,
    faults: [],
    written: {},
  }
}

const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] as const

/** A day in the leaf window, most in July to September. */
function leafDay(season: SeasonYear, random: Draws): string {
  const month = random.pick([5, 5, 6, 6, 6, 7, 7, 7, 7, 8, 8, 8, 8, 8, 9, 9, 9, 9, 10, 10])
  return dayText(season, month, random.whole(1, MONTH_DAYS[month - 1] as number))
}

export const dayText = (year: number, month: number, day: number): string =>
  `${year}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`

/** Looks at ground that a patch will take: in the season before it is first reported, unless it is to stay unseen. */
function checksBefore(patch: TruePatch, season: SeasonYear, random: Draws, people: readonly Person[]): Sighting[] {
  const isKept = patch.role === 'newly found' || patch.role === 'single'
  if (isKept || season < patch.reportedFrom - 2 || season >= patch.reportedFrom)
    return clearedChecks(patch, season, random, people)
  return Array.from({ length: 3 }, () => {
    const middle = middleOf(patch)
    const sighting = lookAt([middle[0] + 8 * random.normal(), middle[1] + 8 * random.normal()], season, random, people)
    return { ...sighting, extent: random.pick([25, 30, 40]) }
  })
}

/** The cleared patch is looked at four times in the season after, by trained people, and nothing is seen. */
function clearedChecks(patch: TruePatch, season: SeasonYear, random: Draws, people: readonly Person[]): Sighting[] {
  if (patch.role !== 'cleared' || season !== 2025) return []
  const trained = people.filter(person => person.training === 'trained')
  return [6, 7, 8, 9].map(month => {
    const middle = middleOf(patch)
    const sighting = look(
      [middle[0] + 5 * random.normal(), middle[1] + 5 * random.normal()],
      season,
      random,
      random.pick(trained),
    )
    return { ...sighting, date: dayText(season, month, random.whole(3, 27)), extent: 25, evidence: 'leaf' as const }
  })
}

/** Where somebody looked and saw nothing: along roads, along creeks, about known patches, inside them (missed), anywhere. */
function placeToLook(county: County, season: SeasonYear, random: Draws): Point | undefined {
  const kind = random.unit()
  if (kind < 0.36) return nearLine(random.pick(county.roads).points, 22, random)
  if (kind < 0.6)
    return nearLine(
      random.pick(county.streams.filter(s => (s.area[s.area.length - 1] as number) > 1.2e6)).points,
      16,
      random,
    )
  const standing = county.patches.filter(p => p.reach[season] > 0 && p.role !== 'single' && season >= p.reportedFrom)
  const patch = random.pick(standing)
  if (kind < 0.63) return placeInPatch(patch, season, random.unit)
  if (kind < 0.8) {
    const middle = middleOf(patch)
    const away = patch.reach[season] + random.between(40, 260)
    const [dx, dy] = [random.normal(), random.normal()]
    const scale = away / Math.sqrt(dx * dx + dy * dy)
    return [middle[0] + dx * scale, middle[1] + dy * scale]
  }
  const [xs, ys] = [county.boundary.map(p => p[0]), county.boundary.map(p => p[1])]
  return [random.between(Math.min(...xs), Math.max(...xs)), random.between(Math.min(...ys), Math.max(...ys))]
}

function nearLine(line: readonly Point[], spread: number, random: Draws): Point {
  const { at } = placeAlong(line, random.unit() * lineLength(line))
  return [at[0] + spread * random.normal(), at[1] + spread * random.normal()]
}

/** Ground that nobody may have looked at yet, or outside the county, or plainly in a patch that would have been seen. */
function isKeptUnseen(county: County, season: SeasonYear, place: Point): boolean {
  if (!isInRing(place, county.boundary)) return true
  return county.patches.some(patch => {
    const away = nearestOnLine(place, patch.spine).away
    const isUnseen = patch.role === 'newly found' && season < patch.reportedFrom
    if (isUnseen) return away < 190
    // Missed visits inside are rare and drawn apart; ground just outside the edge stays free of doubt.
    return patch.reach[season] > 0 && !isInPatch(patch, season, place) && away < patch.reach[season] + 12
  })
}
