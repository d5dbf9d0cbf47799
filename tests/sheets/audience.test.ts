import { execFileSync, spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { contentFor } from '../../core/desk/draw-sheet.ts'
import { gatherBrief } from '../../core/desk/gather.ts'
import { allPolygons } from '../../core/desk/roles.ts'
import { runSeason, type SeasonRun } from '../../core/desk/run-season.ts'
import type { DeskState } from '../../core/desk/state.ts'
import { newestChoice } from '../../core/desk/summary.ts'
import { vetReports } from '../../core/desk/vet-reports.ts'
import { columnValue, findColumn, utmFrame } from '../../core/geo/index.ts'
import { AUDIENCES, type Audience, createTask, type Report, type SheetRequest } from '../../core/model/index.ts'
import { parseBrief } from '../../core/project/index.ts'
import { levelFor } from '../../core/share/index.ts'
import { type DisplayList, drawSeasonReview, flatten, writePdf } from '../../core/sheets/index.ts'
import { loadFonts } from './invented-review.ts'

const FOLDER = join(import.meta.dirname, '../../sample-layers')
/** Land with patches of both seasons on it. */
const OWNER = 'Tollavane Parish Commons'

interface Drawn {
  readonly list: DisplayList
  /** The content as it was drawn, and the words of the PDF with its description. */
  readonly content: string
  readonly words: string
  /** Every position in the content. */
  readonly places: ReadonlySet<string>
}

const state = {} as { now: DeskState & { readonly run: SeasonRun }; drawn: Record<Audience, Drawn> }
const hasPoppler = spawnSync('which', ['pdftotext']).status === 0

beforeAll(async () => {
  const files = { read: async (path: string) => new Uint8Array(readFileSync(join(FOLDER, path))) }
  const task = createTask({ isCancelled: () => false, onStep: async () => {} })
  // Few draws: how firm the order is says nothing here.
  const text = readFileSync(join(FOLDER, 'brief.json'), 'utf8').replace('"draws": 200', '"draws": 4')
  const brief = parseBrief(text, 'brief.json')
  const gathered = await gatherBrief(brief, files, task)
  const vetted = await vetReports(brief, gathered.reports, allPolygons(gathered.layers.boundary))
  const run = await runSeason({ brief, gathered, vetted }, task)
  const whole = { brief, gathered, vetted, run, runId: 'test', version: 1, warnings: [], isStale: false }
  state.now = { ...whole, report: () => undefined, place: () => [0, 0] }
  state.drawn = Object.fromEntries(AUDIENCES.map(audience => [audience, draw(audience)])) as Record<Audience, Drawn>
}, 240_000)

function draw(audience: Audience): Drawn {
  const request: SheetRequest = {
    id: audience,
    kind: 'season-review',
    page: 'a3',
    orientation: 'landscape',
    audience,
    ...(audience === 'owner' ? { owner: OWNER } : {}),
  }
  const content = contentFor(
    state.now,
    { request, choice: newestChoice(state.now) },
    { units: 'acres-feet', locale: 'en-US' },
  )
  const fonts = loadFonts()
  const [longitude, latitude] = state.now.vetted.tools.frame.toGlobe(0, 0)
  const list = drawSeasonReview(content, request, utmFrame(longitude, latitude), fonts)
  const pdf = writePdf(list, fonts)
  const page = hasPoppler ? execFileSync('pdftotext', ['-', '-'], { input: pdf, encoding: 'utf8' }) : ''
  const told = hasPoppler ? execFileSync('pdfinfo', ['-'], { input: pdf, encoding: 'utf8' }) : ''
  const texts = list.pages.flatMap(({ items }) =>
    [...flatten(items)].flatMap(one => (one.op === 'text' ? one.text : [])),
  )
  const plain = JSON.stringify(content, (_, value: unknown) => (ArrayBuffer.isView(value) ? undefined : value))
  return {
    list,
    content: plain,
    places: placesIn(content),
    words: [page, told, list.title, list.description, ...texts].join('\n'),
  }
}

const placeKey = (longitude: number, latitude: number): string => `${longitude.toFixed(6)},${latitude.toFixed(6)}`

/** Positions in flat lists of pairs and in things with a longitude and a latitude, however deep. */
function placesIn(value: unknown, found = new Set<string>()): Set<string> {
  if (value instanceof Float64Array) {
    for (let i = 0; i + 1 < value.length; i += 2) found.add(placeKey(value[i]!, value[i + 1]!))
  } else if (typeof value === 'object' && value !== null) {
    const { longitude, latitude } = value as { longitude?: unknown; latitude?: unknown }
    if (typeof longitude === 'number' && typeof latitude === 'number') found.add(placeKey(longitude, latitude))
    for (const one of Object.values(value)) placesIn(one, found)
  }
  return found
}

const pinsOf = (isWanted: (owner: string) => boolean): string[] => {
  const [owners, pins] = [columnOf('owner'), columnOf('id')]
  return pins.filter((_, i) => isWanted(owners[i]!))
}

const columnOf = (name: 'owner' | 'id'): string[] => {
  const { gathered, brief } = state.now
  const layer = gathered.layers.parcels!
  const column = findColumn(layer, brief.layers.parcels!.fields[name]!)!
  return Array.from({ length: layer.featureCount }, (_, i) => String(columnValue(column, i)))
}

/** Which of the texts stand in a text as words of their own. */
const foundIn = (text: string, texts: readonly string[]): string[] => {
  const words = new Set(text.split(/[^\p{L}\p{N}._-]+/u))
  return texts.filter(one => (one.includes(' ') ? text.includes(one) : words.has(one)))
}

/** Reports whose place an audience may not have. */
const keptFrom = (audience: Audience): readonly Report[] =>
  state.now.gathered.reports.filter(report => levelFor(report.consent, audience) !== 'exact')

describe.each(['owner', 'partner', 'public'] as const)('the sheet for %s', audience => {
  it('names no owner, recorder, patch, report or neighbour’s parcel, in words and in what is drawn from', () => {
    const { words, content } = state.drawn[audience]
    const { gathered, run } = state.now
    const recorders = [...new Set(gathered.reports.flatMap(one => [one.recorder ?? [], one.confirmedBy ?? []].flat()))]
    const patches = [...new Set(run.outlines.flatMap(season => season.patches.map(patch => patch.id)))]
    const reports = gathered.reports.map(report => report.id)
    expect(recorders.length).toBeGreaterThan(50)
    for (const text of [words, content]) {
      expect(foundIn(text, recorders)).toEqual([])
      expect(foundIn(text, patches)).toEqual([])
      expect(foundIn(text, reports)).toEqual([])
    }
    // The county, whose name stands in the title, holds land itself.
    const owners = [...new Set(columnOf('owner'))].filter(owner => owner !== state.now.brief.title)
    expect(foundIn(words, owners)).toEqual([])
    expect(foundIn(content, owners)).toEqual(audience === 'owner' ? [OWNER] : [])
    const others = pinsOf(owner => audience !== 'owner' || owner !== OWNER)
    expect(others.length).toBeGreaterThan(3000)
    for (const text of [words, content]) expect(foundIn(text, others)).toEqual([])
  })

  it('holds no position that was kept back', () => {
    const { places, list } = state.drawn[audience]
    const kept = keptFrom(audience)
    expect(kept.length).toBeGreaterThan(50)
    const held = kept.filter(({ longitude, latitude }) => places.has(placeKey(longitude, latitude)))
    expect(held.map(report => report.id)).toEqual([])
    // On the page: no mark stands on such a place, to a hundredth of a point (half a metre on the ground).
    const marks = marksOf(list)
    const toPage = pageOf(list)
    const drawn = kept.filter(report => marks.has(key(...toPage(report.longitude, report.latitude))))
    expect(drawn.map(report => report.id)).toEqual([])
  })
})

it('the sheet for the crew does hold them, so that the search can find', () => {
  const { words, list, places } = state.drawn.crew
  expect(words).toMatch(/P\d+: jumped, likely by water/)
  const marks = marksOf(list)
  const toPage = pageOf(list)
  const found = state.now.run.outlines.flatMap(({ singles }) =>
    singles.flatMap(single => {
      const [longitude, latitude] = state.now.vetted.tools.frame.toGlobe(single.x, single.y)
      return marks.has(key(...toPage(longitude, latitude))) ? [single] : []
    }),
  )
  expect(found.length).toBeGreaterThan(5)
  const single = state.now.gathered.reports.filter(({ longitude, latitude }) =>
    places.has(placeKey(longitude, latitude)),
  )
  expect(single.length).toBeGreaterThan(5)
})

it('an owner’s sheet counts that land alone', () => {
  const { words } = state.drawn.owner
  expect(words).toContain('Gross area on this land')
  expect(words).not.toContain('Parcels infested')
  expect(words).not.toContain('Where people looked')
})

const key = (x: number, y: number): string => `${x.toFixed(2)},${y.toFixed(2)}`

/** Middles of everything small that is drawn on the map. */
function marksOf(list: DisplayList): Set<string> {
  const marks = new Set<string>()
  for (const item of list.pages.flatMap(page => [...flatten(page.items)])) {
    if (item.op !== 'path') continue
    for (const line of item.lines) {
      const xs = line.filter((_, i) => i % 2 === 0)
      const ys = line.filter((_, i) => i % 2 === 1)
      const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
      if (right - left < 40 && bottom - top < 40) marks.add(key((left + right) / 2, (top + bottom) / 2))
    }
  }
  return marks
}

/** Positions to the page by the page's own georeference: planar metres run evenly along its box. */
function pageOf(list: DisplayList): (longitude: number, latitude: number) => [number, number] {
  const { box, corners } = list.pages[0]!.georeference!
  const [longitude, latitude] = state.now.vetted.tools.frame.toGlobe(0, 0)
  const frame = utmFrame(longitude, latitude)
  const [west, north] = frame.toPlane(corners[0]![1], corners[0]![0])
  const [east, south] = frame.toPlane(corners[2]![1], corners[2]![0])
  return (lon, lat) => {
    const [x, y] = frame.toPlane(lon, lat)
    return [
      box[0] + ((x - west) / (east - west)) * (box[2] - box[0]),
      box[1] + ((y - north) / (south - north)) * (box[3] - box[1]),
    ]
  }
}
