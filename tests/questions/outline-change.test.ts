import { describe, expect, it } from 'vitest'
import { measureArea, planarArea, toGlobePolygons } from '../../core/geo/index.ts'
import { createTask, type Find, metres, type Patch, type Season, type SeasonSightings } from '../../core/model/index.ts'
import { linkSeasons, matchEffort, measureChange, standsOfPatch } from '../../core/outline/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { engine, find, frame, outline, SETTINGS, square, visit } from './outline-fixtures.ts'

const season = (id: string): Season => ({
  id,
  start: `${id}-01-01`,
  end: `${id}-12-31`,
  year: Number(id),
  detectable: {},
})

async function patchesOf(id: string, rows: readonly (readonly [number, number, number])[]): Promise<readonly Patch[]> {
  const finds = rows.map(([x, y, radius], i) =>
    find(`${id}-${i}`, x, y, { season: id, date: `${id}-06-01`, radius: metres(radius) }),
  )
  return (await outline(finds, { season: id })).patches
}

describe('change between two seasons', () => {
  const changeOf = async (rows: Parameters<typeof patchesOf>[1], then: Parameters<typeof patchesOf>[1]) => {
    const [older, newer] = [await patchesOf('2023', rows), await patchesOf('2024', then)]
    const { histories } = linkSeasons({
      patchesBySeason: [older, newer],
      seasons: [season('2023'), season('2024')],
      searchedBefore: [],
      treatments: [],
      engine,
    })
    return { older, newer, change: measureChange({ older, newer, histories, frame, engine }) }
  }
  const total = (patches: readonly Patch[]) => patches.reduce((sum, patch) => sum + patch.grossArea, 0)

  it('gained and kept make the newer area, lost and kept the older one', async () => {
    const { older, newer, change } = await changeOf(
      [
        [0, 0, 20],
        [500, 0, 15],
        [1000, 0, 15],
      ],
      [
        [10, 0, 25],
        [500, 0, 15],
        [1500, 0, 15],
      ],
    )
    expect((change.gainedArea + change.keptArea) / total(newer)).toBeCloseTo(1, 9)
    expect((change.lostArea + change.keptArea) / total(older)).toBeCloseTo(1, 9)
    expect(Math.abs(change.gainedArea - measureArea(toGlobePolygons(change.gained, frame)))).toBeLessThan(1e-3)
    expect(planarArea(engine.intersection(change.gained, change.lost))).toBeLessThan(1e-6)
  })

  // Worked by hand: one patch stays, one grows, one is not seen, one is newly found.
  it('the matrix counts every patch of both seasons with its area', async () => {
    const { older, newer, change } = await changeOf(
      [
        [0, 0, 20],
        [500, 0, 15],
        [1000, 0, 15],
      ],
      [
        [0, 0, 30],
        [500, 0, 15],
        [1500, 0, 15],
      ],
    )
    expect(change.matrix.map(({ from, to, count }) => [from, to, count])).toEqual([
      ['first', 'grown', 1],
      ['first', 'not_seen', 1],
      ['first', 'steady', 1],
      ['none', 'newly_found', 1],
    ])
    const sum = (of: 'olderArea' | 'newerArea') => change.matrix.reduce((area, cell) => area + cell[of], 0)
    expect(sum('olderArea')).toBeCloseTo(total(older), 6)
    expect(sum('newerArea')).toBeCloseTo(total(newer), 6)
    expect(change.flows.map(({ from, to }) => [from, to])).toEqual([
      ['P01', 'P01'],
      ['P02', 'P02'],
    ])
    expect(change.flows[1]!.area / (Math.PI * 225)).toBeCloseTo(1, 5)
  })

  it('a split counts its links, the older area once', async () => {
    const { older, change } = await changeOf(
      [
        [0, 0, 15],
        [40, 0, 15],
        [80, 0, 15],
      ],
      [
        [0, 0, 15],
        [80, 0, 15],
      ],
    )
    expect(change.matrix).toHaveLength(1)
    expect(change.matrix[0]).toMatchObject({ from: 'first', to: 'split', count: 2 })
    expect(change.matrix[0]!.olderArea).toBeCloseTo(total(older), 6)
  })

  it('nothing in either season is no change', async () => {
    const change = measureChange({ older: [], newer: [], histories: [], frame, engine })
    expect([change.gainedArea, change.lostArea, change.keptArea, change.matrix.length]).toEqual([0, 0, 0, 0])
  })
})

describe('stands: the reports behind a patch', () => {
  it('gathers reports of one place, newest first, and leaves out other patches', async () => {
    const finds = [
      find('a', 0, 0, { date: '2024-05-01', cover: 0.5 }),
      find('b', 0, 0, { date: '2024-07-01' }),
      find('c', 20, 0, { isMeasured: false }),
      find('far', 900, 0),
    ]
    const { patches } = await outline(finds, { settings: { minReportsUnconfirmed: 1 } })
    const stands = standsOfPatch(patches[0]!, finds)
    expect(stands.map(({ reportIds }) => reportIds)).toEqual([['b', 'a'], ['c']])
    expect(stands[0]).toMatchObject({ firstSeen: '2024-05-01', lastSeen: '2024-07-01', cover: 0.5, isMeasured: true })
    expect(stands.flatMap(({ reportIds }) => reportIds).sort()).toEqual([...patches[0]!.reportIds])
  })
})

describe('small ground', () => {
  it('patches below the minimum area are left out, listed and warned of', async () => {
    const finds = [find('big', 0, 0), find('small', 500, 0, { radius: metres(4) })]
    const { patches, dropped, warnings } = await outline(finds, { settings: { minimumArea: 100 } })
    expect(patches.map(({ reportIds }) => reportIds)).toEqual([['big']])
    expect(dropped.map(({ rule, reportIds }) => [rule, reportIds])).toEqual([['minimum-area', ['small']]])
    expect(dropped[0]!.area / (Math.PI * 16)).toBeCloseTo(1, 5)
    expect(warnings).toEqual(['outline-ground-dropped'])
  })

  it('slivers that a cut leaves go, the rest of the patch stays', async () => {
    // All of the disc but a strip 3 m wide in the west and the ground east of x = 0 was searched and found clear.
    const clearGround = [{ date: '2024-08-01', planar: square(-12, -50, 0, 50) }]
    const options = { clearGround }
    const whole = (await outline([find('a', 0, 0)], options)).patches[0]!
    expect(whole.planar).toHaveLength(2)
    const { patches, dropped, warnings } = await outline([find('a', 0, 0)], {
      ...options,
      settings: { sliverWidth: 3 },
    })
    expect(patches[0]!.planar).toHaveLength(1)
    expect(patches[0]!.grossArea + dropped[0]!.area).toBeCloseTo(whole.grossArea, 6)
    expect(patches[0]!.infestedArea).toBeCloseTo(patches[0]!.grossArea, 6)
    expect(warnings).toEqual(['outline-ground-dropped'])
  })

  it('nothing is left out by default', async () => {
    const { dropped, warnings } = await outline([find('a', 0, 0, { radius: metres(0.5) })])
    expect([dropped, warnings]).toEqual([[], []])
  })
})

describe('area at equal effort', () => {
  /** A season of looks over 1 km2: `share` of them find, at places alike in every season. */
  function seasonOf(id: string, count: number, seed: number): SeasonSightings {
    const random = createRandom(seed)
    const finds: Find[] = []
    const visits = Array.from({ length: count }, (_, i) => {
      const [x, y] = [1000 * random.next(), 1000 * random.next()]
      const isFound = random.next() < 0.5
      const name = `${id}-${i}`
      if (isFound) finds.push(find(name, x, y, { season: id, date: `${id}-06-01` }))
      return visit(name, x, y, { season: id, isFound })
    })
    return { season: id, finds, visits }
  }

  async function match(sightings: readonly SeasonSightings[]) {
    const patchesBySeason = []
    for (const one of sightings) patchesBySeason.push((await outline(one.finds, { season: one.season })).patches)
    return matchEffort({ sightings, patchesBySeason, settings: SETTINGS, engine }, createTask())
  }

  it('four times the visits to the same ground: the drawn area grows, the matched one does not', async () => {
    const [poor, rich] = await match([seasonOf('2023', 100, 71), seasonOf('2024', 400, 72)])
    expect([poor!.visits, rich!.visits, rich!.matchedVisits]).toEqual([100, 400, 100])
    expect(poor!.matchedArea).toBe(poor!.grossArea)
    expect(rich!.grossArea).toBeGreaterThan(2.5 * poor!.grossArea)
    // 50 +- 5 finds of about 700 m2 each: within 3 standard errors of the poor season's own area.
    expect(Math.abs(rich!.matchedArea! / poor!.grossArea - 1)).toBeLessThan(0.35)
    expect(rich!.interval!.low).toBeLessThan(rich!.matchedArea!)
    expect(rich!.interval!.high).toBeGreaterThan(rich!.matchedArea!)
  })

  // Discs far apart never overlap: the expected area of m of n visits is m / n of the whole (hypergeometric mean).
  it('is the hypergeometric mean where discs stand alone', async () => {
    const apart = (id: string, count: number): SeasonSightings => {
      const rows = Array.from({ length: count }, (_, i) => i)
      return {
        season: id,
        finds: rows.filter(i => i % 2 === 0).map(i => find(`${id}-${i}`, 200 * i, 0, { season: id })),
        visits: rows.map(i => visit(`${id}-${i}`, 200 * i, 0, { season: id })),
      }
    }
    const [, rich] = await match([apart('2023', 40), apart('2024', 200)])
    // Mean of 40 draws of a hypergeometric number of finds (20 of 100 expected, standard deviation 2.8): within 4 of its errors.
    expect(Math.abs(rich!.matchedArea! / (rich!.grossArea * 0.2) - 1)).toBeLessThan((4 * 2.83) / 20 / Math.sqrt(40))
  })

  it('does not depend on the order of rows, and says why where it cannot be', async () => {
    const sightings = [seasonOf('2023', 30, 73), seasonOf('2024', 90, 74), { season: '2025', finds: [], visits: [] }]
    const turned = sightings.map(one => ({
      ...one,
      finds: [...one.finds].reverse(),
      visits: [...one.visits].reverse(),
    }))
    const matched = await match(sightings)
    expect(await match(turned)).toEqual(matched)
    expect(matched[2]).toMatchObject({
      matchedArea: null,
      matchedVisits: 30,
      reason: 'no visit in the detectable window',
    })
  })
})
