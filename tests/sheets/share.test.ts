import { beforeAll, describe, expect, it } from 'vitest'
import { createPolygonEngine, isInside, type PolygonEngine } from '../../core/geo/index.ts'
import { type AUDIENCES, CONSENT, type Consent } from '../../core/model/index.ts'
import type { SheetContent } from '../../core/model/sheet-content.ts'
import {
  cellsOf,
  coarser,
  cutSheetContent,
  levelFor,
  type OwnedPoint,
  type PrivacyFacts,
  type SharedReport,
} from '../../core/share/index.ts'
import { drawSeasonReview, writePdf } from '../../core/sheets/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { frame, inventedReview, loadFonts, requestFor } from './invented-review.ts'

let engine: PolygonEngine
beforeAll(async () => {
  engine = await createEngine()
})

describe('levels', () => {
  it('let the coarser of two win', () => {
    for (const a of CONSENT) {
      for (const b of CONSENT) {
        expect(coarser(a, b)).toBe(CONSENT[Math.max(CONSENT.indexOf(a), CONSENT.indexOf(b))])
      }
    }
  })

  // The privacy table of the design: finds exact for the crew, own land for owners, by consent for partners, by cell for the public.
  it.each([
    ['crew', ['exact', 'exact', 'exact', 'exact']],
    ['owner', ['exact', 'exact', 'cell', 'withheld']],
    ['partner', ['exact', 'cell', 'cell', 'withheld']],
    ['public', ['cell', 'cell', 'cell', 'withheld']],
  ] as const)('for %s are %j', (audience, levels) => {
    expect(CONSENT.map(consent => levelFor(consent, audience))).toEqual(levels)
  })
})

const pointAt = (east: number, north: number, ownerId: string | null): OwnedPoint => {
  const [longitude, latitude] = frame.toGlobe(428_000 + east, 3_952_000 + north)
  return { longitude, latitude, ownerId }
}

describe('cells', () => {
  it('are shown only with 5 owners and 3 reports', () => {
    const at = (n: number, owners: number) =>
      Array.from({ length: n }, (_, i) => pointAt(100 + i, 100, `owner ${i % owners}`))
    expect(cellsOf([at(5, 5)], frame).cells.map(cell => cell.reports)).toEqual([[5]])
    expect(cellsOf([at(5, 4)], frame)).toEqual({ cells: [], hidden: [5] })
    const holders = Array.from({ length: 5 }, (_, i) => pointAt(500, 100 + i, `holder ${i}`))
    expect(cellsOf([at(2, 2)], frame, { holders })).toEqual({ cells: [], hidden: [2] })
    expect(cellsOf([at(3, 1)], frame, { holders }).cells).toHaveLength(1)
    expect(cellsOf([[], []], frame)).toEqual({ cells: [], hidden: [0, 0] })
    // A season that is too few keeps its number to itself where the other may be shown.
    expect(cellsOf([at(2, 2), at(7, 6)], frame).cells.map(cell => cell.reports)).toEqual([[null, 7]])
  })

  it('do not count ground that nobody is known to own as an owner', () => {
    const points = Array.from({ length: 9 }, (_, i) => pointAt(i, 0, i < 4 ? `owner ${i}` : null))
    expect(cellsOf([points], frame).cells).toEqual([])
  })

  it('grow round a lonely report and stay small elsewhere', () => {
    const crowd = Array.from({ length: 8 }, (_, i) => pointAt(200 + i, 200, `a${i}`))
    const other = Array.from({ length: 8 }, (_, i) => pointAt(5200 + i, 200, `b${i}`))
    const lonely = pointAt(7200, 200, 'c')
    expect(cellsOf([[...crowd, ...other, lonely]], frame).cells.map(cell => [cell.reports, cell.size])).toEqual([
      [[8], [1000, 1000]],
      [[9], [3000, 1000]],
    ])
  })

  it('are never under 1 km', () => {
    expect(() => cellsOf([[pointAt(0, 0, 'a')]], frame, { size: 999 })).toThrow(/smaller than 1 km/)
  })

  it('are disjoint and hold the promised owners and reports, whatever the order', () => {
    const random = createRandom(7)
    for (let round = 0; round < 40; round++) {
      const draw = () =>
        Array.from({ length: 5 + random.integer(120) }, () => {
          const owner = random.next() < 0.1 ? null : `owner ${random.integer(40)}`
          return pointAt(random.next() ** 2 * 9000, random.next() ** 2 * 9000, owner)
        })
      const groups = [draw(), draw()]
      const { cells, hidden } = cellsOf(groups, frame)
      for (const [group, points] of groups.entries()) {
        const counted = cells.reduce((sum, cell) => sum + (cell.reports[group] ?? 0), 0)
        expect(counted + hidden[group]!).toBe(points.length)
        for (const cell of cells) {
          const inside = points.filter(point => isInside(cell.outline, point.longitude, point.latitude))
          const owners = new Set(inside.flatMap(point => point.ownerId ?? [])).size
          expect(cell.reports[group]).toBe(inside.length >= 3 && owners >= 5 ? inside.length : null)
          expect(Math.min(...cell.size)).toBeGreaterThanOrEqual(1000)
        }
        // Disjoint: no point in two cells.
        for (const { longitude, latitude } of points) {
          expect(cells.filter(cell => isInside(cell.outline, longitude, latitude)).length).toBeLessThanOrEqual(1)
        }
      }
      expect(
        cellsOf(
          groups.map(points => [...points].reverse()),
          frame,
        ).cells,
      ).toEqual(cells)
    }
  })
})

/** Reports behind the invented review: `levels` by id, everything else exact; owners by turn. */
function factsFor(content: SheetContent, levels: Readonly<Record<string, Consent>> = {}, owner?: string): PrivacyFacts {
  const reports = new Map<string, SharedReport>()
  const things = [...content.patches, ...content.finds, ...content.dashedFinds]
  for (const [i, id] of things.flatMap(thing => thing.reportIds).entries()) {
    const [longitude, latitude] = placeOf(content, id)
    reports.set(id, { longitude, latitude, ownerId: `owner ${i}`, consent: levels[id] ?? 'exact' })
  }
  return { reports, ...(owner === undefined ? {} : { owner }) }
}

function placeOf(content: SheetContent, id: string): readonly [number, number] {
  const patch = content.patches.find(one => one.reportIds.includes(id))
  if (patch !== undefined) return [patch.outline[0]![0]![0]!, patch.outline[0]![0]![1]!]
  const find = [...content.finds, ...content.dashedFinds].find(one => one.reportIds.includes(id))!
  return [find.longitude, find.latitude]
}

const cut = (content: SheetContent, audience: (typeof AUDIENCES)[number], facts: PrivacyFacts) =>
  cutSheetContent(content, audience, facts, { frame, engine })

describe('a sheet cut to its audience', () => {
  const content = inventedReview()

  it('is whole for the crew', () => {
    const facts = factsFor(content, { S1: 'withheld' })
    expect(cut(content, 'crew', facts)).toEqual({ ...content, audience: 'crew' })
  })

  it('shows partners what consent allows, and no owner', () => {
    const facts = factsFor(content, { S0: 'cell', S1: 'withheld', S2: 'parcel', 'R1a-shown': 'cell' })
    const seen = cut(content, 'partner', facts)
    expect(seen.finds).toHaveLength(2)
    const outlineOf = (season: string) =>
      content.patches.find(patch => patch.id === 'P2' && patch.season === season)!.outline
    expect(seen.patches.some(patch => patch.outline === outlineOf('shown'))).toBe(false)
    expect(seen.patches.some(patch => patch.outline === outlineOf('compared'))).toBe(true)
    expect(seen.patches.map(patch => patch.id).join('')).toBe('')
    expect(seen.parcels.length).toBe(content.parcels.length)
    expect(seen.parcels.every(parcel => parcel.owner === null && parcel.mark === 'none')).toBe(true)
    // Two coarse finds and the two reports of the coarse patch, four owners: too few to show, even as a cell.
    expect(seen.cells).toEqual([])
    const more = factsFor(content, { S0: 'cell', S2: 'parcel', S3: 'cell', S4: 'cell', 'R1a-shown': 'cell' })
    const wider = cut(content, 'partner', more)
    expect(wider.cells.reduce((sum, cell) => sum + (cell.shown ?? 0) + (cell.compared ?? 0), 0)).toBe(6)
  })

  it('treats a find without known consent as withheld', () => {
    const seen = cut(content, 'partner', { reports: new Map() })
    expect([...seen.patches, ...seen.finds, ...seen.dashedFinds, ...seen.cells, ...seen.arrows]).toEqual([])
  })

  it('gives the public counts by cell, named streams and totals', () => {
    const seen = cut(content, 'public', factsFor(content))
    const exact = [
      seen.patches,
      seen.finds,
      seen.dashedFinds,
      seen.arrows,
      seen.parcels,
      seen.searchedClear,
      seen.effort,
    ]
    expect(exact.flat()).toEqual([])
    expect(seen.reaches.every(reach => reach.name !== null)).toBe(true)
    expect(seen.cells.length).toBeGreaterThan(0)
    for (const cell of seen.cells) expect(Math.max(cell.shown ?? 0, cell.compared ?? 0)).toBeGreaterThanOrEqual(3)
    expect(seen.table).toEqual(content.table)
  })

  it('shows owners their own land and no neighbour’s', () => {
    const own = content.parcels.find(parcel => parcel.mark === 'infested')!
    const seen = cut(content, 'owner', factsFor(content, {}, own.owner!))
    expect(seen.parcels).toEqual([own])
    const grown = engine.buffer(own.outline, 1e-7, 4)
    expect(seen.patches.length).toBeGreaterThan(0)
    const shapes = [...seen.patches.map(patch => patch.outline), ...seen.searchedClear]
    for (const vertex of shapes.flat(2).flatMap(ring => pairs(ring))) expect(isInside(grown, ...vertex)).toBe(true)
    for (const find of seen.finds) expect(isInside(own.outline, find.longitude, find.latitude)).toBe(true)
    const ordered = seen.reaches.filter(reach => reach.look !== 'none')
    for (const vertex of ordered.flatMap(reach => pairs(reach.path))) expect(isInside(grown, ...vertex)).toBe(true)
    // Streams with a name are everybody's: they show where the land lies.
    expect(seen.reaches.some(reach => reach.look === 'none' && reach.name !== null)).toBe(true)
    expect(() => cut(content, 'owner', factsFor(content))).toThrow(/whose land/)
  })

  it('leaves no report, owner or exact place in the public file', () => {
    const seen = cut(content, 'public', factsFor(content))
    const fonts = loadFonts()
    const list = drawSeasonReview(seen, requestFor('letter', 'landscape', 'public'), frame, fonts)
    const json = JSON.stringify({ seen, list })
    for (const secret of ['owner ', 'S0', 'R1a-shown']) expect(json).not.toContain(secret)
    const places = [...content.finds, ...content.dashedFinds].map(find => String(find.longitude))
    for (const place of places) expect(json).not.toContain(place)
    expect(Buffer.from(writePdf(list, fonts)).toString('latin1')).not.toContain('owner')
  })
})

const pairs = (line: Float64Array): [number, number][] =>
  Array.from({ length: line.length / 2 }, (_, i) => [line[2 * i]!, line[2 * i + 1]!])

const createEngine = async (): Promise<PolygonEngine> => createPolygonEngine()
