import { describe, expect, it } from 'vitest'
import { measureArea, planarArea, toGlobePolygons } from '../../core/geo/index.ts'
import { Cancelled, createTask, metres } from '../../core/model/index.ts'
import { outlinePatches, patchProperties } from '../../core/outline/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { engine, find, frame, outline, SETTINGS, square } from './outline-fixtures.ts'

const DISC = Math.PI * 225

describe('grouping', () => {
  it('joins discs up to the join distance, touching included', async () => {
    const at = (gap: number) => outline([find('a', 0, 0), find('b', 30 + gap, 0)])
    expect((await at(29.99)).patches).toHaveLength(1)
    expect((await at(30)).patches).toHaveLength(1)
    expect((await at(30.01)).patches).toHaveLength(2)
  })

  it('keeps a patch of two parts one patch with one id', async () => {
    const { patches } = await outline([find('a', 0, 0), find('b', 80, 0)], { settings: { join: 60 } })
    expect(patches.map(patch => [patch.id, patch.planar.length])).toEqual([['P01', 2]])
    expect(patches[0]!.reportIds).toEqual(['a', 'b'])
  })

  it('asks more reports of a group without a confirmed one; duplicates count', async () => {
    const plain = { isConfirmed: false }
    const lone = await outline([find('a', 0, 0, plain)])
    expect([lone.patches.length, lone.singles.map(single => single.reportIds)]).toEqual([0, [['a']]])
    expect((await outline([find('a', 0, 0, plain), find('b', 0, 0, plain)])).patches).toHaveLength(1)
    expect((await outline([find('a', 0, 0)])).patches).toHaveLength(1)
    expect((await outline([find('a', 0, 0)], { settings: { minReports: 2 } })).singles).toHaveLength(1)
  })

  it('makes no area of positions worse than the limit', async () => {
    const result = await outline([find('a', 0, 0), find('b', 20, 0, { makesArea: false, accuracy95: metres(60) })])
    expect(result.dashed).toEqual(['b'])
    expect(result.patches[0]!.reportIds).toEqual(['a'])
  })

  it('does not join across a break, but joins round its end and where discs overlap', async () => {
    const wall = square(24, -200, 26, 200)
    const pair = [find('a', 0, 0), find('b', 50, 0)]
    expect((await outline(pair, { joinBreaks: wall })).patches).toHaveLength(2)
    expect((await outline(pair, { joinBreaks: square(24, 40, 26, 200) })).patches).toHaveLength(1)
    const round = [...pair, find('c', 0, 40), find('d', 25, 60), find('e', 50, 40)]
    expect((await outline(round, { joinBreaks: square(24, -200, 26, 30) })).patches).toHaveLength(1)
    const overlapping = [find('a', 12, 0), find('b', 38, 0)]
    expect((await outline(overlapping, { joinBreaks: wall })).patches).toHaveLength(1)
  })

  it('lays no infill over a break', async () => {
    const pair = [find('a', 0, 0), find('b', 50, 0), find('c', 25, 45), find('d', 25, -45)]
    const wall = square(24, -10, 26, 10)
    const [open, cut] = [await outline(pair), await outline(pair, { joinBreaks: wall })]
    expect(cut.patches).toHaveLength(1)
    expect(open.patches[0]!.grossArea - cut.patches[0]!.grossArea).toBeCloseTo(40, 1)
    expect(cut.patches[0]!.infestedArea).toBeCloseTo(open.patches[0]!.infestedArea, 6)
  })

  it('is the same, ids and bytes, for any order of the reports', async () => {
    const random = createRandom(31)
    const finds = Array.from({ length: 120 }, (_, i) =>
      find(`r${i}`, 900 * random.next(), 900 * random.next(), { cover: random.next() < 0.5 ? 0.375 : null }),
    )
    finds.push(find('dup', finds[0]!.x + 2e-4, finds[0]!.y))
    const shuffled = [...finds].sort((a, b) => (a.reportId < b.reportId ? 1 : -1))
    const [first, second] = [await outline(finds), await outline(shuffled)]
    expect(JSON.stringify(second.patches)).toBe(JSON.stringify(first.patches))
    expect(first.patches.length).toBeGreaterThan(5)
    expect(new Set(first.patches.map(patch => patch.id)).size).toBe(first.patches.length)
  })
})

describe('areas and shares', () => {
  it('are ellipsoidal areas of the outline as written (GeographicLib, through measureArea)', async () => {
    const [patch] = (await outline([find('a', 0, 0), find('b', 40, 10)])).patches
    // GeographicLib adds up areas down to the equator: on 2,000 m2 it is good to a tenth of a square centimetre.
    expect(Math.abs(measureArea(patch!.outline) - patch!.grossArea)).toBeLessThan(1e-4)
    expect(Math.abs(measureArea(toGlobePolygons(patch!.infestedPlanar, frame)) - patch!.infestedArea)).toBeLessThan(
      1e-4,
    )
    // The frame has scale 1 on its meridian: areas in the plane and on the ellipsoid agree there.
    expect(patch!.infestedArea / (2 * DISC)).toBeCloseTo(1, 6)
    expect(patch!.grossArea).toBeGreaterThan(patch!.infestedArea)
  })

  it('measured wins over the default radius where they overlap; the three shares sum to 1', async () => {
    const small = { radius: metres(5), isMeasured: false }
    const [patch] = (await outline([find('a', 0, 0), find('in', 3, 0, small), find('off', 40, 0, small)])).patches
    const total = patch!.measuredShare + patch!.defaultShare + patch!.infillShare
    expect(total).toBeCloseTo(1, 12)
    expect((patch!.measuredShare * patch!.grossArea) / DISC).toBeCloseTo(1, 5)
    expect((patch!.defaultShare * patch!.grossArea) / (25 * Math.PI)).toBeCloseTo(1, 5)
  })

  it('net canopy takes the newest known cover where discs overlap and says what share is known', async () => {
    const finds = [
      find('old', 0, 0, { date: '2024-05-01', cover: 0.85 }),
      find('new', 0, 0, { date: '2024-07-01', cover: 0.15, radius: metres(10) }),
      find('blank', 0, 0, { date: '2024-08-01', cover: null }),
      find('far', 40, 0),
    ]
    const [patch] = (await outline(finds)).patches
    const [inner, outer] = [Math.PI * 100, DISC - Math.PI * 100]
    expect(patch!.netCanopy! / (0.15 * inner + 0.85 * outer)).toBeCloseTo(1, 5)
    expect(patch!.coverKnownShare).toBeCloseTo(0.5, 5)
    expect((await outline([find('a', 0, 0)])).patches[0]!.netCanopy).toBeNull()
  })

  it('cuts out ground searched later and found clear, only where every find is older', async () => {
    const finds = [find('a', 0, 0, { cover: 0.5 }), find('b', 40, 0, { date: '2024-09-01', cover: 0.5 })]
    const clear = [{ date: '2024-08-01', planar: square(0, -30, 60, 30) }]
    const [before, after] = [await outline(finds), await outline(finds, { clearGround: clear })]
    // Half of the older disc goes, the disc of the later find stays whole, the ground between goes.
    expect(Math.abs(after.patches[0]!.infestedArea / (1.5 * DISC) - 1)).toBeLessThan(1e-3)
    expect(Math.abs(after.patches[0]!.netCanopy! / (0.75 * DISC) - 1)).toBeLessThan(1e-3)
    expect(after.patches[0]!.coverKnownShare).toBeCloseTo(1, 6)
    expect(after.patches[0]!.grossArea).toBeLessThan(before.patches[0]!.grossArea)
    const early = await outline(finds, { clearGround: [{ ...clear[0]!, date: '2024-06-01' }] })
    expect(early.patches[0]!.infestedArea).toBeCloseTo(before.patches[0]!.infestedArea, 2)
  })

  it('says when a patch was searched later and found clear all over', async () => {
    const result = await outline([find('a', 0, 0)], {
      clearGround: [{ date: '2024-08-01', planar: square(-50, -50, 50, 50) }],
    })
    expect([result.patches.length, result.warnings]).toEqual([0, ['outline-patch-cleared']])
  })

  it('a further find never shrinks the gross area of the season', async () => {
    const random = createRandom(32)
    const finds = Array.from({ length: 40 }, (_, i) => find(`r${i}`, 300 * random.next(), 300 * random.next()))
    let last = 0
    for (let n = 1; n <= finds.length; n++) {
      const { patches } = await outline(finds.slice(0, n))
      const gross = patches.reduce((sum, patch) => sum + patch.grossArea, 0)
      expect(gross).toBeGreaterThanOrEqual(last * (1 - 1e-6))
      last = gross
    }
  })
})

describe('methods', () => {
  const random = createRandom(33)
  const cloud = Array.from({ length: 400 }, (_, i) =>
    find(`r${i}`, 30 * random.normal(), 20 * random.normal(), { radius: metres(1) }),
  )

  it('discs: the union of the discs, without infill', async () => {
    const [patch] = (await outline([find('a', 0, 0), find('b', 40, 0)], { settings: { method: 'discs' } })).patches
    expect(patch!.planar).toHaveLength(2)
    expect(patch!.infillShare).toBeCloseTo(0, 9)
  })

  // A normal cloud seen through a normal kernel is normal with variances sd2 + h2 = sd2 (1 + n^(-1/3)); its 95 % contour
  // is an ellipse of area 2 pi ln 20 sx sy (circular normal: radius sqrt(-2 ln 0.05)). 8 % for 400 random places.
  it('density: the 95 % mass contour of a normal cloud', async () => {
    const [patch] = (await outline(cloud, { settings: { method: 'density', join: 60 } })).patches
    const expected = 2 * Math.PI * Math.log(20) * 30 * 20 * (1 + 400 ** (-1 / 3))
    expect(Math.abs(patch!.grossArea / expected - 1)).toBeLessThan(0.08)
    expect(planarArea(engine.difference(patch!.infestedPlanar, patch!.planar))).toBeLessThan(1e-6)
  })
})

describe('interval under position error', () => {
  const finds = Array.from({ length: 30 }, (_, i) =>
    find(`r${i}`, 25 * (i % 6), 25 * Math.floor(i / 6), { accuracy95: metres(12) }),
  )

  it('holds the estimate, widens with the error, and is the same again', async () => {
    const run = (accuracy95: number) =>
      outline(
        finds.map(one => ({ ...one, accuracy95: metres(accuracy95) })),
        { isComputingIntervals: true },
      )
    const [fine, coarse, again] = [await run(3), await run(24), await run(24)]
    const width = ({ patches }: typeof fine) => patches[0]!.infestedInterval!.high - patches[0]!.infestedInterval!.low
    const { grossInterval, grossArea } = fine.patches[0]!
    expect(grossInterval!.low).toBeLessThanOrEqual(grossArea)
    expect(grossInterval!.high).toBeGreaterThanOrEqual(grossArea)
    expect(width(coarse)).toBeGreaterThan(width(fine))
    expect(again.patches).toEqual(coarse.patches)
  })

  it('can be cancelled between draws', async () => {
    let steps = 0
    const task = createTask({ onStep: () => void steps++, isCancelled: () => steps > 1 })
    const input = { sightings: { season: '2024', finds, visits: [] }, settings: { ...SETTINGS, draws: 1000 } }
    const rest = { frame, engine, clearGround: [], joinBreaks: null, isComputingIntervals: true }
    await expect(outlinePatches({ ...input, ...rest }, task)).rejects.toThrow(Cancelled)
  })
})

it('properties carry the names that files promise', async () => {
  const [patch] = (await outline([find('a', 0, 0)])).patches
  const properties = patchProperties(patch!, null, null)
  for (const name of [
    'patch_id',
    'season',
    'reports',
    'report_ids',
    'parts',
    'gross_area_m2',
    'infested_area_m2',
    'net_canopy_m2',
    'cover_known_share',
    'measured_share',
    'default_share',
    'infill_share',
    'gross_low_m2',
    'gross_high_m2',
    'infested_low_m2',
    'infested_high_m2',
    'first_seen',
    'last_seen',
    'status',
    'outlier',
    'treated',
    'linked_from',
  ]) {
    expect(properties).toHaveProperty(name)
  }
  expect([properties.reports, properties.report_ids]).toEqual([1, ['a']])
})
