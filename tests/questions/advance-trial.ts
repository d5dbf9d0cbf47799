import type { Find, Metres, SeasonSightings, Visit } from '../../core/model/index.ts'
import type { Random } from '../../core/stats/index.ts'

export interface TrialPatch {
  readonly x: number
  readonly y: number
  readonly radius: number
}

/** Patches of 32 to 128 m, far enough apart that growth does not join them. */
export function trialPatches(count: number, random: Random): TrialPatch[] {
  return Array.from({ length: count }, (_, i) => ({
    x: (i % 8) * 600,
    y: Math.floor(i / 8) * 600,
    radius: 32 * 4 ** random.next(),
  }))
}

/** `count` finds scattered evenly over the patches, each grown by `growth`. */
export function trialSeason(
  season: string,
  patches: readonly TrialPatch[],
  { count, growth }: { readonly count: number; readonly growth: number },
  random: Random,
): SeasonSightings {
  const finds: Find[] = []
  for (let i = 0; i < count; i++) {
    const patch = pickByArea(patches, growth, random)
    const [angle, reach] = [2 * Math.PI * random.next(), (patch.radius + growth) * Math.sqrt(random.next())]
    finds.push(findAt(`${season}-${i}`, season, patch.x + reach * Math.cos(angle), patch.y + reach * Math.sin(angle)))
  }
  return { season, finds, visits: finds.map(visitOf) }
}

function pickByArea(patches: readonly TrialPatch[], growth: number, random: Random): TrialPatch {
  const total = patches.reduce((sum, patch) => sum + (patch.radius + growth) ** 2, 0)
  let rest = random.next() * total
  for (const patch of patches) {
    rest -= (patch.radius + growth) ** 2
    if (rest <= 0) return patch
  }
  return patches.at(-1)!
}

export const findAt = (reportId: string, season: string, x: number, y: number, radius = 15): Find => ({
  reportId,
  season,
  date: `${season}-07-01`,
  x,
  y,
  radius: radius as Metres,
  isMeasured: false,
  accuracy95: 5 as Metres,
  makesArea: true,
  hasAccuracy: true,
  cover: null,
  isConfirmed: true,
})

export const visitOf = (find: Find): Visit => ({
  reportId: find.reportId,
  season: find.season,
  date: find.date,
  x: find.x,
  y: find.y,
  extent: 25 as Metres,
  hasExtent: false,
  isFound: true,
  evidence: 'leaf',
  training: 'trained',
  recorder: null,
})
