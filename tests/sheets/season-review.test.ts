import { execFileSync, spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { beforeAll, describe, expect, it } from 'vitest'
import { PAGES, type SheetRequest } from '../../core/model/index.ts'
import type { SheetContent } from '../../core/model/sheet-content.ts'
import {
  boxesOverlap,
  boxOfText,
  type DisplayList,
  drawSeasonReview,
  flatten,
  type GroupOperator,
  LEAST_SIZE,
  type Operator,
  openFonts,
  type SheetFonts,
  type TextOperator,
  writePdf,
  writeSvg,
} from '../../core/sheets/index.ts'
import { frame, inventedReview, loadFonts, requestFor } from './invented-review.ts'

const hasPoppler = spawnSync('which', ['pdfinfo']).status === 0
let fonts: SheetFonts
beforeAll(() => {
  fonts = loadFonts()
})

const ORIENTATIONS = ['landscape', 'portrait'] as const
const LAYOUTS = PAGES.flatMap(page => ORIENTATIONS.map(orientation => [page, orientation] as const))

const draw = (
  content: SheetContent,
  page: SheetRequest['page'] = 'letter',
  orientation: SheetRequest['orientation'] = 'landscape',
) => drawSeasonReview(content, requestFor(page, orientation), frame, fonts)

const textsOf = (list: DisplayList, page: number): TextOperator[] =>
  [...flatten(list.pages[page]!.items)].filter(item => item.op === 'text')

const allText = (list: DisplayList): string =>
  list.pages
    .flatMap((_, page) => textsOf(list, page).map(text => text.text))
    .join(' ')
    .replaceAll('\u00a0', ' ')

/** Overlapping pairs of texts, texts off the page and texts that are too small, as words for the message of a failure. */
function faults(list: DisplayList): string[] {
  return list.pages.flatMap((page, index) => {
    const texts = textsOf(list, index)
    const boxes = texts.map(text => boxOfText(text, fonts))
    const found: string[] = []
    for (const [i, box] of boxes.entries()) {
      if (texts[i]!.size < LEAST_SIZE) found.push(`small: ${texts[i]!.text}`)
      const isOn = [0, 2, 4, 6].every(
        k => box[k]! >= 0 && box[k]! <= page.width && box[k + 1]! >= 0 && box[k + 1]! <= page.height,
      )
      if (!isOn) found.push(`off the page: ${texts[i]!.text}`)
      for (let j = i + 1; j < boxes.length; j++) {
        if (boxesOverlap(box, boxes[j]!)) found.push(`overlap: ${texts[i]!.text} | ${texts[j]!.text}`)
      }
    }
    return found
  })
}

/** The layers of the map. */
function layersOf(items: readonly Operator[]): GroupOperator[] {
  return items.flatMap(item => (item.op !== 'group' ? [] : item.layer === undefined ? layersOf(item.items) : [item]))
}

/** Content whose words and rows are far more than one page holds. */
function longReview(): SheetContent {
  const content = inventedReview()
  const long =
    'Whether the vine was there before the flood, since nobody looked on the far bank until the second summer after it. '
  return {
    ...content,
    title: 'Season review for the district of the long names and the even longer sentences, 2025',
    place: 'Upper Marrow Creek, Alder Fork and Slate Run reporting district of the county',
    table: [
      ...content.table,
      ...content.table.slice(0, 8).map(row => ({ ...row, label: `${row.label}, ${row.label} again` })),
    ],
    cannotConclude: Array.from({ length: 24 }, (_, i) => [`${i + 1}. ${long}${i % 3 === 0 ? long : ''}`]),
    arrows: content.arrows.flatMap(arrow =>
      Array.from({ length: 12 }, (_, i) => ({ ...arrow, azimuth: arrow.azimuth + i * 5 })),
    ),
  }
}

describe('text on a season review', () => {
  it.each(LAYOUTS)('never overlaps, leaves the page or falls below 6 pt on %s %s', (page, orientation) => {
    expect(faults(draw(inventedReview(), page, orientation))).toEqual([])
  })

  it.each(LAYOUTS)('runs over to further pages when there is too much of it on %s %s', (page, orientation) => {
    const list = draw(longReview(), page, orientation)
    expect(faults(list)).toEqual([])
    for (let i = 1; i <= 24; i++) expect(allText(list)).toContain(`${i}. Whether the vine`)
  })

  it('needs one page for an ordinary season on Letter', () => {
    for (const orientation of ORIENTATIONS) expect(draw(inventedReview(), 'letter', orientation).pages).toHaveLength(1)
    expect(draw(longReview()).pages.length).toBeGreaterThan(1)
  })

  it('reads in the units and digits of the reader', () => {
    const content = inventedReview()
    const metric = draw({ ...content, reading: { units: 'hectares-metres', locale: 'de-DE' } })
    expect(allText(draw(content))).toContain('74.9 (70.9–78.1) ac')
    expect(allText(metric)).toContain('30,3 (28,7–31,6) ha')
    expect(allText(metric)).toMatch(/1:\d\d\.000 on Letter/)
  })
})

describe('what a season review shows', () => {
  it('names in the legend what is drawn and nothing else', () => {
    const content = inventedReview()
    const whole = allText(draw(content))
    for (const label of [
      'patch, 2024',
      'patch, 2025',
      'single find, 2025',
      'look first',
      'searched, not detected',
      'road',
    ]) {
      expect(whole).toContain(label)
    }
    expect(whole).not.toContain('flood extent')
    const bare = allText(draw({ ...content, roads: [], searchedClear: [], arrows: [], parcels: [] }))
    for (const label of ['road', 'searched, not detected', 'edge move, 2024', 'parcel'])
      expect(bare).not.toContain(label)
    // Far outside the map frame: neither drawn nor named.
    const away = Float64Array.of(-44, 36, -44.001, 36.001)
    expect(allText(draw({ ...content, roads: [{ path: away, name: 'Far Road' }] }))).not.toContain('road')
  })

  it('does without every optional part', () => {
    const content = inventedReview()
    const list = draw({
      ...content,
      seasons: { shown: '2025', compared: null },
      patches: content.patches.filter(patch => patch.season === 'shown'),
      finds: [],
      dashedFinds: [],
      searchedClear: [],
      arrows: [],
      reaches: [],
      parcels: [],
      roads: [],
      headline: ['The vine stands in 6 patches.'],
      footing: [],
      table: [],
      effort: [],
      chart: null,
      hindcast: null,
      cannotConclude: [],
      positionNote: '',
      cautions: [],
      credits: [],
    })
    expect(faults(list)).toEqual([])
    expect(allText(list)).not.toContain('2024')
  })

  it('says where nothing can be drawn', () => {
    const content = inventedReview()
    const nothing = {
      ...content,
      patches: [],
      finds: [],
      dashedFinds: [],
      arrows: [],
      reaches: [],
      parcels: [],
      roads: [],
    }
    expect(() => draw(nothing)).toThrow(/nothing to draw/)
  })

  it('leaves no trace of what lies outside the map frame', () => {
    const list = draw(inventedReview())
    const { box } = list.pages[0]!.georeference!
    const layers = layersOf(list.pages[0]!.items)
    expect(layers.length).toBeGreaterThan(4)
    for (const item of layers) {
      for (const one of flatten(item.items)) {
        const points = one.op === 'text' ? [one.x, one.y] : one.lines.flatMap(line => [...line])
        for (let i = 0; i < points.length; i += 2) {
          // Marks and cut edges reach a little over the rim, arrows up to their length.
          expect(points[i]!).toBeGreaterThan(box[0] - 70)
          expect(points[i]!).toBeLessThan(box[2] + 70)
          expect(points[i + 1]!).toBeGreaterThan(box[1] - 70)
          expect(points[i + 1]!).toBeLessThan(box[3] + 70)
        }
      }
    }
  })

  it('carries the date of the data, the cautions, the position note and who it is for', () => {
    const text = allText(draw(inventedReview()))
    for (const words of [
      'data to Nov 12, 2025',
      'Positions are good to 30 m or better (95 %).',
      'The product label is the law',
      'not proof of presence',
      'For crews and staff, not for posting',
      'UTM zone 23N, WGS 84',
      'run 2025-11-14-03',
    ]) {
      expect(text).toContain(words)
    }
  })

  it('shows cells with their counts where exact places may not be shown', () => {
    const content = inventedReview('public')
    const [west, south] = frame.toGlobe(429000, 3953000)
    const [east, north] = frame.toGlobe(430000, 3954000)
    const outline = [Float64Array.of(west, south, east, south, east, north, west, north, west, south)]
    const list = draw({
      ...content,
      patches: [],
      finds: [],
      dashedFinds: [],
      cells: [{ outline: [outline], shown: 7, compared: null }],
    })
    expect(textsOf(list, 0).some(text => text.text === '7' && text.face === 'sans-bold')).toBe(true)
    expect(allText(list)).toContain('reports of 2024 (left) and 2025')
    expect(allText(list)).toContain('For everyone')
  })
})

describe('files of a season review', () => {
  it('has the same bytes for the same content', () => {
    const write = () => writePdf(draw(inventedReview()), loadFonts())
    expect(Buffer.from(write()).equals(Buffer.from(write()))).toBe(true)
    const svg = () => writeSvg(draw(inventedReview()), fonts)
    expect(svg()).toBe(svg())
  })

  it('writes the date of the data, not of the day', () => {
    const bytes = Buffer.from(writePdf(draw(inventedReview()), fonts)).toString('latin1')
    expect(bytes).toContain('D:20251112000000Z')
    expect(bytes).not.toContain(
      `D:${new Date().getUTCFullYear() + 0}${String(new Date().getUTCMonth() + 1).padStart(2, '0')}${String(new Date().getUTCDate()).padStart(2, '0')}`,
    )
  })

  // ISO 32000-2, 14.8: heading, paragraphs, figures with words in their place, tables of rows and cells.
  it.skipIf(!hasPoppler)('carries its structure for readers who cannot see it', () => {
    const pdf = writePdf(draw(inventedReview()), fonts)
    const told = execFileSync('pdfinfo', ['-'], { input: pdf, encoding: 'utf8' })
    expect(told).toMatch(/Tagged:\s+yes/)
    expect(told).toMatch(/Title:\s+Season review, 2025, Marrow Creek district/)
    expect(Buffer.from(pdf).toString('latin1')).toContain('/Lang (en-US)')
    const tree = execFileSync('pdfinfo', ['-struct-text', '-'], { input: pdf, encoding: 'utf8' })
    expect(tree).toMatch(/^Document\n\s+H1[^\n]*\n\s+"Season review, 2025"/)
    expect(tree.match(/^\s+Figure/gm)).toHaveLength(3)
    expect(tree.match(/^\s+TR/gm)).toHaveLength(inventedReview().table.length + 1)
    expect(tree).toMatch(/TH[^\n]*\n\s+"Gross area"/)
    expect(tree).toContain('"Where people looked"')
  })

  it('keeps text as text in SVG, with its fonts inside unless asked not to', () => {
    const list = draw(inventedReview())
    const svg = writeSvg(list, fonts)
    expect(svg).toContain('>Season review, 2025</text>')
    expect(svg.match(/@font-face/g)).toHaveLength(8)
    expect(writeSvg(list, fonts, { isEmbedding: false })).not.toContain('@font-face')
  })

  it('escapes what stands in names', () => {
    const content = inventedReview()
    const svg = writeSvg(draw({ ...content, place: 'Creek & <Fork>' }), fonts, { isEmbedding: false })
    expect(svg).toContain('Creek &amp; &lt;Fork&gt;')
    expect(svg).not.toContain('<Fork>')
  })

  it('refuses fonts that cannot be embedded', () => {
    const woff2 = new Uint8Array(
      readFileSync('node_modules/@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-normal.woff2'),
    )
    expect(() => openFonts({ ...fonts.bytes, sans: [woff2] })).toThrow(/woff2/)
    expect(() => openFonts({ ...fonts.bytes, sans: [] })).toThrow(/no font file/)
    expect(() => openFonts({ ...fonts.bytes, sans: [new Uint8Array(64)] })).toThrow(/no font file/)
  })

  it('measures a line as the font sets it whole', () => {
    const line = 'Look first along 2.16 mi of bank, on Tamsel Creek; To W. AV fly Yarrow Lane'
    for (const face of ['sans', 'sans-bold', 'sans-italic', 'serif-bold'] as const) {
      expect(fonts.width(line, face, 10)).toBeCloseTo(fonts.faces[face][0]!.widthOfString(line, 10), 6)
    }
  })

  it('sets letters that the first font file lacks from the next', () => {
    expect(fonts.runs('Ełk', 'sans').map(run => [run.text, run.file])).toEqual([
      ['E', 0],
      ['ł', 1],
      ['k', 0],
    ])
  })
})
