import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { frameFromCrs, utmFrame } from '../../core/geo/index.ts'
import { INK, LOOK_INK, PAGES, ROAD, SEARCHED, SEASON_SYMBOLS, SOFT_INK, WATER } from '../../core/model/index.ts'
import {
  buildPageTransform,
  convergenceOf,
  type DisplayList,
  degreeTicks,
  drawSeasonReview,
  flatten,
  gridTicks,
  roundScaleFor,
  type SheetFonts,
  scaleBarsFor,
  wktOfFrame,
  writePdf,
} from '../../core/sheets/index.ts'
import { frame, inventedReview, loadFonts, requestFor } from '../sheets/invented-review.ts'
import { check, checkAll } from './check.ts'

const POINTS_PER_MM = 72 / 25.4

function has(tool: string): boolean {
  try {
    execFileSync('which', [tool])
    return true
  } catch {
    return false
  }
}

/** A transform at a scale, its map frame 500 x 400 points about a place. */
function transformAt(scale: number, longitude = -45.78, latitude = 35.72) {
  const local = utmFrame(longitude, latitude)
  const [x, y] = local.toPlane(longitude, latitude)
  return buildPageTransform(local, [x, y, x, y], [40, 40, 540, 440], scale)
}

describe('scale of a map', () => {
  // mm on paper = m x 1000 / scale: 1 km at 1:24,000 is 41.6667 mm, at 1:10,000 100 mm, at 1:5,000 200 mm;
  // 100 ft at 1:1,200 is 25.4 mm (arithmetic; 1 ft = 0.3048 m exactly, NIST SP 811).
  it.each([
    [24_000, 1000, 41.666666667],
    [10_000, 1000, 100],
    [5_000, 1000, 200],
    [1_200, 30.48, 25.4],
  ])('at 1:%i draws %f m as %f mm', (scale, ground, paper) => {
    const transform = transformAt(scale)
    const [x, y] = transform.toPlane(100, 100)
    const got = (transform.toPage(x + ground, y)[0] - 100) / POINTS_PER_MM
    const what = 'ground distance on paper, mm'
    check({ what, source: 'definition of scale; NIST SP 811', expected: paper, got, within: 5e-7 })
    expect((100 - transform.toPage(x, y + ground)[1]) / POINTS_PER_MM).toBeCloseTo(paper, 6)
  })

  it('is the largest round one that shows everything', () => {
    const box = [0, 0, 100 * POINTS_PER_MM, 80 * POINTS_PER_MM] as const
    expect(roundScaleFor([0, 0, 2400, 100], box)).toBe(24_000)
    expect(roundScaleFor([0, 0, 2401, 100], box)).toBe(25_000)
    expect(roundScaleFor([0, 0, 100, 3999], box)).toBe(50_000)
    expect(roundScaleFor([0, 0, 10, 10], box)).toBe(1000)
    expect(roundScaleFor([0, 0, 120_000, 10], box)).toBe(1_200_000)
  })

  it('stands on the sheet as drawn', () => {
    for (const page of PAGES) {
      const list = drawSeasonReview(inventedReview(), requestFor(page, 'landscape'), frame, fonts)
      const printed = allText(list).find(text => text.startsWith('1:'))!
      const scale = Number(/^1:([\d,]+) on/.exec(printed)![1]!.replaceAll(',', ''))
      const { box, corners } = list.pages[0]!.georeference!
      const west = frame.toPlane(corners[1]![1], corners[1]![0])
      const east = frame.toPlane(corners[2]![1], corners[2]![0])
      const onPaper = ((box[2] - box[0]) / 72) * 0.0254
      expect(Math.hypot(east[0] - west[0], east[1] - west[1]) / onPaper / scale).toBeCloseTo(1, 6)
    }
  })
})

describe('scale bars', () => {
  it.each([1000, 5000, 12_000, 24_000, 40_000, 100_000, 500_000])('are round and true at 1:%i', scale => {
    const transform = transformAt(scale)
    const bars = scaleBarsFor(transform, 210)
    const pairs = bars.map(({ points, division, unit }) => {
      const metres = { m: 1, km: 1000, ft: 0.3048, mi: 1609.344 }[unit]
      return [(division * metres * 1000) / scale, points / POINTS_PER_MM] as const
    })
    const what = 'division of scale bars, mm'
    checkAll({ what, source: 'definition of scale; NIST SP 811', within: 5e-7, pairs })
    for (const bar of bars) {
      const unit = { m: 1, km: 1000, ft: 0.3048, mi: 1609.344 }[bar.unit]
      expect(bar.points * bar.divisions).toBeLessThanOrEqual(210 + 1e-9)
      expect(bar.points * bar.divisions).toBeGreaterThan(60)
      // Millimetres on paper from the definition of scale.
      expect(bar.points / POINTS_PER_MM).toBeCloseTo((bar.division * unit * 1000) / scale, 6)
      const mantissa = bar.division / 10 ** Math.floor(Math.log10(bar.division) + 1e-12)
      expect([1, 2, 2.5, 5].some(round => Math.abs(mantissa - round) < 1e-9)).toBe(true)
    }
  })
})

describe('north', () => {
  // Grid convergence 0.67189766 degrees at 40.767 N 73.9711 W in UTM zone 18 (PROJ 9.1.1, `proj -S`).
  it('turns by the convergence of the frame', () => {
    const got = convergenceOf(transformAt(10_000, -73.9711, 40.767))
    check({
      what: 'turn of grid north, degrees',
      source: 'proj -S, PROJ 9.1.1',
      expected: 0.67189766,
      got,
      within: 5e-6,
    })
  })

  it('has grid north west of true north west of the central meridian', () => {
    // Northern hemisphere, 0.78 degrees west of 45 W: about -0.78 sin(35.72) = -0.455.
    expect(convergenceOf(transformAt(24_000))).toBeCloseTo(-0.4554, 3)
  })
})

describe('ticks', () => {
  it('stand where the meridians and parallels meet the frame', () => {
    const transform = transformAt(24_000)
    const ticks = degreeTicks(transform)
    expect(ticks.length).toBeGreaterThanOrEqual(4)
    for (const tick of ticks) {
      const [px, py] = tick.edge === 'top' ? [tick.at, 40] : [40, tick.at]
      const [longitude, latitude] = transform.frame.toGlobe(...transform.toPlane(px, py))
      expect(tick.edge === 'top' ? longitude : latitude).toBeCloseTo(tick.value, 9)
    }
    expect(ticks.map(tick => tick.label)).toContain('45°47′W')
    expect(ticks.map(tick => tick.label)).toContain('35°43′N')
  })

  it('stand on whole metres of the grid', () => {
    const transform = transformAt(24_000)
    for (const tick of gridTicks(transform)) {
      const place = tick.edge === 'bottom' ? transform.toPlane(tick.at, 440)[0] : transform.toPlane(540, tick.at)[1]
      expect(place).toBeCloseTo(tick.value, 6)
      expect(Number(tick.label.replaceAll(/\D/g, ''))).toBe(tick.value)
    }
    expect(gridTicks(transform).length).toBeGreaterThanOrEqual(4)
  })
})

describe('contrast', () => {
  // WCAG 2.2 relative luminance and ratio; #767676 on white is 4.542225, #777777 4.478089 (recomputed from the definition).
  const luminance = (colour: string) => {
    const [r, g, b] = [1, 3, 5].map(i => {
      const c = Number.parseInt(colour.slice(i, i + 2), 16) / 255
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
    })
    return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
  }
  const onWhite = (colour: string) => 1.05 / (luminance(colour) + 0.05)

  it('is computed as printed', () => {
    const pairs = [[4.542225, onWhite('#767676')] as const, [4.478089, onWhite('#777777')] as const]
    checkAll({ what: 'contrast of greys on white', source: 'WCAG 2.2, relative luminance', within: 5e-6, pairs })
  })

  it('of every text on the sheet is at least 4.5 on paper, of lines that carry meaning at least 3', () => {
    const list = drawSeasonReview(inventedReview(), requestFor('letter', 'landscape'), frame, fonts)
    const colours = new Set(
      [...flatten(list.pages[0]!.items)].flatMap(item => (item.op === 'text' ? [item.colour] : [])),
    )
    for (const colour of colours) expect(onWhite(colour), colour).toBeGreaterThanOrEqual(4.5)
    for (const colour of [
      INK,
      SOFT_INK,
      WATER,
      LOOK_INK,
      SEARCHED,
      ROAD,
      SEASON_SYMBOLS.shown.stroke,
      SEASON_SYMBOLS.compared.stroke,
    ]) {
      expect(onWhite(colour), colour).toBeGreaterThanOrEqual(3)
    }
  })

  it('tells the two seasons apart without colour', () => {
    expect(SEASON_SYMBOLS.shown.hatch).not.toBe(SEASON_SYMBOLS.compared.hatch)
    expect(SEASON_SYMBOLS.shown.isDashed).not.toBe(SEASON_SYMBOLS.compared.isDashed)
  })
})

let fonts: SheetFonts
let folder: string
beforeAll(() => {
  fonts = loadFonts()
  folder = mkdtempSync(join(tmpdir(), 'sheet-'))
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const allText = (list: DisplayList) =>
  list.pages.flatMap(page => [...flatten(page.items)].flatMap(item => (item.op === 'text' ? [item.text] : [])))

function writeSheet(name: string, list: DisplayList): string {
  const path = join(folder, name)
  writeFileSync(path, writePdf(list, fonts))
  return path
}

// GDAL reads ISO 32000 measure dictionaries and PROJ places the points: an independent way from page to ground and back.
describe.skipIf(!has('gdalinfo') || !has('gdaltransform'))('georeference, as gdalinfo reads it', () => {
  const PLACES = [
    [-45.8, 35.735],
    [-45.76, 35.738],
    [-45.781, 35.7204],
    [-45.803, 35.7056],
    [-45.7575, 35.7042],
  ] as const

  let truths: (readonly [number, number])[]
  beforeAll(() => {
    const input = PLACES.map(place => place.join(' ')).join('\n')
    const args = ['-s_srs', 'OGC:CRS84', '-t_srs', 'EPSG:32623', '-output_xy']
    const lines = execFileSync('gdaltransform', args, { input, encoding: 'utf8' }).trim().split('\n')
    truths = lines.map(line => line.split(/\s+/).map(Number) as [number, number])
  })

  it.each(PAGES.flatMap(page => [[page, 'landscape'] as const, [page, 'portrait'] as const]))(
    'puts five known points within 0.5 m on %s %s',
    (page, orientation) => {
      const finds = PLACES.map(([longitude, latitude]) => ({
        season: 'shown' as const,
        longitude,
        latitude,
        reportIds: [],
      }))
      const list = drawSeasonReview({ ...inventedReview(), finds }, requestFor(page, orientation), frame, fonts)
      const info = JSON.parse(
        execFileSync('gdalinfo', ['-json', writeSheet(`${page}-${orientation}.pdf`, list)], { encoding: 'utf8' }),
      )
      expect(info.coordinateSystem.wkt).toContain('ID["EPSG",32623]')
      const [x0, dx, rx, y0, ry, dy] = info.geoTransform as [number, number, number, number, number, number]
      expect(Math.abs(rx) + Math.abs(ry)).toBeLessThan(1e-3 * dx)
      // GDAL counts whole pixels: its pixel is the page's width and height over their number.
      const perPoint = [info.size[0] / list.pages[0]!.width, info.size[1] / list.pages[0]!.height] as const
      const marks = diamondsOf(list)
      expect(marks).toHaveLength(PLACES.length)
      const offs: [expected: number, got: number][] = []
      for (const [i, [px, py]] of marks.entries()) {
        const [east, north] = truths[i]!
        const [column, row] = [px * perPoint[0], py * perPoint[1]]
        const off = Math.hypot(x0 + column * dx + row * rx - east, y0 + column * ry + row * dy - north)
        offs.push([0, off])
      }
      const what = 'marks off their ground, every page, m'
      checkAll({ what, source: 'gdalinfo, gdaltransform, run now', within: 0.5, pairs: offs })
    },
    60_000,
  )

  it('reads a local transverse Mercator too', () => {
    const local = frameFromCrs('+proj=tmerc +lat_0=35.72 +lon_0=-45.78 +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m')
    const list = drawSeasonReview(inventedReview(), requestFor('letter', 'landscape'), local, fonts)
    const info = execFileSync('gdalinfo', [writeSheet('local.pdf', list)], { encoding: 'utf8' })
    expect(info).toContain('"Latitude of natural origin",35.72')
    expect(info).toContain('"Longitude of natural origin",-45.78')
    expect(wktOfFrame(local)).toContain('PARAMETER["scale_factor",1]')
  })

  it('lists the layers', () => {
    const list = drawSeasonReview(inventedReview(), requestFor('letter', 'landscape'), frame, fonts)
    const info = execFileSync('gdalinfo', ['-mdd', 'LAYERS', writeSheet('layers.pdf', list)], { encoding: 'utf8' })
    for (const name of ['Patches', 'Water', 'Parcels', 'Finds']) expect(info).toContain(`=${name}`)
  })
})

/** Middles of the single finds' diamonds on the map (the legend's own stands outside of the layers). */
function diamondsOf(list: DisplayList): [number, number][] {
  const layers = list.pages[0]!.items.flatMap(item => (item.op === 'group' ? item.items : []))
  const layer = layers.find(item => item.op === 'group' && item.layer === 'Finds')
  if (layer?.op !== 'group') return []
  return [...flatten(layer.items)].flatMap(item => {
    if (item.op !== 'path' || item.lines[0]!.length !== 8) return []
    const line = item.lines[0]!
    return [[(line[0]! + line[4]!) / 2, (line[1]! + line[5]!) / 2]]
  })
}

describe.skipIf(!has('pdffonts'))('fonts, as pdffonts reads them', () => {
  it('are all embedded as subsets', () => {
    const list = drawSeasonReview(
      { ...inventedReview(), place: 'Ełk Creek' },
      requestFor('letter', 'landscape'),
      frame,
      fonts,
    )
    const rows = execFileSync('pdffonts', [writeSheet('fonts.pdf', list)], { encoding: 'utf8' })
      .trim()
      .split('\n')
      .slice(2)
    expect(rows.length).toBeGreaterThanOrEqual(5)
    for (const row of rows) expect(row).toMatch(/yes yes yes/)
  })
})

describe.skipIf(!has('pdftotext'))('text, as pdftotext reads it', () => {
  it('can be found and copied', () => {
    const list = drawSeasonReview(inventedReview(), requestFor('letter', 'landscape'), frame, fonts)
    const text = execFileSync('pdftotext', ['-layout', writeSheet('text.pdf', list), '-'], { encoding: 'utf8' })
    for (const words of ['Season review, 2025', 'Marrow Creek', '45°47′W', 'Cannot be concluded'])
      expect(text).toContain(words)
  })
})
