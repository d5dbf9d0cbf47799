import { readFileSync } from 'node:fs'
import { utmFrame } from '../../core/geo/index.ts'
import type { Audience, Chart, MultiPolygon, Polygon, SheetRequest } from '../../core/model/index.ts'
import type {
  EffortGrid,
  SheetCell,
  SheetContent,
  SheetParcel,
  SheetPatch,
  SheetReach,
} from '../../core/model/sheet-content.ts'
import { type FontBytes, openFonts, SHEET_CAUTIONS } from '../../core/sheets/index.ts'

/** An invented district in open ocean, drawn by rule: enough of everything that a season review can hold. */
export const frame = utmFrame(-45.78, 35.72)
const [ORIGIN_X, ORIGIN_Y] = frame.toPlane(-45.78, 35.72)

export function loadFonts() {
  const file = (family: string, set: string, weight: string) =>
    new Uint8Array(
      readFileSync(`node_modules/@fontsource/ibm-plex-${family}/files/ibm-plex-${family}-${set}-${weight}.woff`),
    )
  const face = (family: string, weight: string) => [file(family, 'latin', weight), file(family, 'latin-ext', weight)]
  const bytes: FontBytes = {
    sans: face('sans', '400-normal'),
    'sans-bold': face('sans', '600-normal'),
    'sans-italic': face('sans', '400-italic'),
    'serif-bold': face('serif', '600-normal'),
  }
  return openFonts(bytes)
}

const place = (east: number, north: number) => frame.toGlobe(ORIGIN_X + east, ORIGIN_Y + north)

function path(points: readonly (readonly [number, number])[]): Float64Array {
  return Float64Array.from(points.flatMap(([x, y]) => [...place(x, y)]))
}

/** A wavy ring about a middle; the wave depends on the seed alone. */
function blob(x: number, y: number, radius: number, seed: number, stretch = 1, turn = 0): Polygon {
  const points: [number, number][] = []
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)]
  for (let i = 0; i <= 72; i++) {
    const a = (2 * Math.PI * (i % 72)) / 72
    const wave = 1 + 0.16 * Math.sin(3 * a + seed) + 0.1 * Math.sin(5 * a + seed * 2.3) + 0.05 * Math.cos(9 * a + seed)
    const [u, v] = [radius * wave * stretch * Math.cos(a), (radius * wave * Math.sin(a)) / stretch]
    points.push([x + u * cos - v * sin, y + u * sin + v * cos])
  }
  return [path(points)]
}

/** The creek: a smooth bend from north-west to south-east. */
const creekAt = (t: number): [number, number] => [
  -2700 + 5400 * t,
  1900 - 3700 * t + 260 * Math.sin(9 * t) + 120 * Math.sin(21 * t + 1),
]

function creekPiece(from: number, to: number): Float64Array {
  const steps = 24
  return path(Array.from({ length: steps + 1 }, (_, k) => creekAt(from + ((to - from) * k) / steps)))
}

function patchesOf(season: 'shown' | 'compared'): SheetPatch[] {
  const grow = season === 'shown' ? 1.28 : 1
  const rows: [number, number, number, number][] = [
    [0.12, 0, 230, 1],
    [0.2, 60, 210, 2.2],
    [0.3, -20, 170, 3.1],
    [0.41, 10, 190, 4.5],
  ]
  const along = rows.map(([t, off, radius, seed], i): SheetPatch => {
    const [x, y] = creekAt(t)
    return {
      id: `P${i + 1}`,
      season,
      outline: [blob(x + off, y + off, radius * grow, seed, 1.35, -0.65)],
      status: season === 'shown' ? 'grown' : 'first',
      isOutlier: false,
      label: null,
      reportIds: [`R${i}a-${season}`, `R${i}b-${season}`],
    }
  })
  const [far, side] = [creekAt(0.72), creekAt(0.25)]
  const others: SheetPatch[] = [
    {
      id: 'P9',
      season,
      outline: [blob(side[0] + 700, side[1] + 640, 120 * grow, 0.4, 1.2, 1.1)],
      status: 'steady',
      isOutlier: false,
      label: null,
      reportIds: [`R9-${season}`],
    },
    {
      id: 'P12',
      season,
      outline: [blob(1500, 1300, 16, 1.4)],
      status: 'new',
      isOutlier: false,
      label: null,
      reportIds: [`R12-${season}`],
    },
  ]
  if (season === 'shown') {
    others.push({
      id: 'P14',
      season,
      outline: [blob(far[0], far[1], 85, 2.7)],
      status: 'new',
      isOutlier: true,
      label: 'jumped 1.1 km, likely by water',
      reportIds: ['R14a', 'R14b'],
    })
  }
  return [...along, ...others]
}

function reaches(): SheetReach[] {
  const pieces: [number, number, SheetReach['look']][] = [
    [0, 0.1, 'none'],
    [0.1, 0.46, 'low'],
    [0.46, 0.6, 'first'],
    [0.6, 0.74, 'next'],
    [0.74, 0.86, 'low'],
    [0.86, 1, 'none'],
  ]
  const creek = pieces.map(
    ([from, to, look]): SheetReach => ({ path: creekPiece(from, to), look, name: 'Marrow Creek', width: 9 }),
  )
  const side = (t: number, dx: number, dy: number, name: string | null): SheetReach => {
    const [x, y] = creekAt(t)
    const points = Array.from({ length: 25 }, (_, k): [number, number] => {
      const s = k / 24
      return [x + dx * s + 120 * Math.sin(7 * s) * s, y + dy * s + 90 * Math.sin(5 * s + 1) * s]
    })
    return { path: path(points.reverse()), look: 'none', name, width: 3 }
  }
  return [
    ...creek,
    side(0.22, 900, 1700, 'Alder Fork'),
    side(0.38, -1900, -700, 'Slate Run'),
    side(0.53, 1700, 2500, 'Heron Brook'),
    side(0.62, -1700, -1500, null),
    side(0.76, 1300, 1100, 'Low Branch'),
  ]
}

/** Lots along a few bent roads; not a grid. */
function parcels(): SheetParcel[] {
  const list: SheetParcel[] = []
  const bend = (x: number, y: number): [number, number] => [
    x + 60 * Math.sin(y / 420) + 35 * Math.sin(x / 300),
    y + 70 * Math.sin(x / 510) + 30 * Math.sin(y / 260 + 2),
  ]
  for (let i = -9; i < 9; i++) {
    for (let j = -7; j < 7; j++) {
      if ((i * 7 + j * 3) % 5 === 0) continue
      const [w, h] = [340, 330]
      const corners: [number, number][] = [
        [i * w, j * h],
        [(i + 1) * w, j * h],
        [(i + 1) * w, (j + 1) * h],
        [i * w, (j + 1) * h],
        [i * w, j * h],
      ]
      const mark = i === -5 && j === 3 ? 'infested' : i === -4 && j === 2 ? 'near' : 'none'
      list.push({
        id: `${i}/${j}`,
        outline: [[path(corners.map(([x, y]) => bend(x, y)))]],
        mark,
        owner: `owner ${i}/${j}`,
      })
    }
  }
  return list
}

function effort(season: 'shown' | 'compared', label: string): EffortGrid {
  const [columns, rows] = [18, 12]
  const visits = Array.from({ length: columns * rows }, (_, k) => {
    const [c, r] = [k % columns, Math.floor(k / columns)]
    const off = Math.abs(c / columns - r / rows)
    const many = season === 'shown' ? 34 : 24
    return Math.max(0, Math.round(many * Math.exp(-((off / 0.22) ** 2)) - 2 + 3 * Math.sin(c * 2.1 + r)))
  })
  return { label, season, columns, rows, cellSize: 300, visits }
}

const chart: Chart = {
  title: 'Farthest infested reach downstream',
  kind: 'seasons',
  yKind: 'length',
  points: [2200, 3600, 4400, 6100, 7200].map((y, i) => ({
    label: String(2021 + i),
    x: 2021 + i,
    y,
    season: String(2021 + i),
  })),
  fit: { from: [2021, 2240], to: [2025, 7220] },
  note: [{ kind: 'rate', value: 1250, low: 1100, high: 1400 }, ' over 5 seasons.'],
}

const area = (value: number, low: number, high: number) => ({ kind: 'area', value, low, high }) as const
const count = (value: number, one: string, many: string) => ({ kind: 'count', value, noun: [one, many] }) as const

export function inventedReview(audience: Audience = 'crew'): SheetContent {
  const squares: SheetCell[] = []
  const finds = [
    [-1500, 300],
    [300, 1500],
    [1850, 700],
    [2100, -250],
    [-100, -1700],
  ].map(([x, y], i) => {
    const [longitude, latitude] = place(x!, y!)
    return { season: 'shown' as const, longitude, latitude, reportIds: [`S${i}`] }
  })
  const [dashedLon, dashedLat] = place(-2100, -900)
  const arrow = (t: number, azimuth: number, length: number) => {
    const [longitude, latitude] = place(...creekAt(t))
    return { longitude, latitude, azimuth, length, label: { kind: 'length', value: length, isSigned: true } as const }
  }
  const searched: MultiPolygon[] = [
    [blob(1300, 700, 260, 1.9)],
    [blob(-300, -1150, 320, 0.7, 1.1)],
    [blob(2300, -1500, 280, 2.2)],
  ]
  return {
    title: 'Season review, 2025',
    place: 'Marrow Creek district',
    dataDate: '2025-11-12',
    seasons: { shown: '2025', compared: '2024' },
    audience,
    reading: { units: 'acres-feet', locale: 'en-US' },
    runId: '2025-11-14-03',
    patches: [...patchesOf('compared'), ...patchesOf('shown')],
    finds,
    dashedFinds: [{ season: 'shown', longitude: dashedLon, latitude: dashedLat, radius: 80, reportIds: ['D1'] }],
    cells: squares,
    searchedClear: searched,
    arrows: [arrow(0.1, 228, 12), arrow(0.45, 130, 38)],
    reaches: reaches(),
    parcels: parcels(),
    roads: [
      {
        path: path([
          [-3200, 700],
          [-1500, 900],
          [0, 800],
          [1700, 1000],
          [3300, 950],
        ]),
        name: 'Quarry Road',
      },
      {
        path: path([
          [-900, 2600],
          [-700, 900],
          [-800, -500],
          [-600, -2600],
        ]),
        name: 'Mill Lane',
      },
      {
        path: path([
          [1400, 2600],
          [1300, 300],
          [1200, -1200],
          [1350, -2600],
        ]),
        name: null,
      },
    ],
    boundary: null,
    flood: null,
    headline: [
      'The vine’s edge moved ',
      { kind: 'length', value: 38, low: 22, high: 54 },
      ' since 2024, and one new patch stands ',
      { kind: 'length', value: 1100 },
      ' downstream, likely carried by water.',
    ],
    looking: ['Look first at the ', { kind: 'length', value: 1000 }, ' of creek drawn bold.'],
    footing: [
      [
        count(1470, 'visit', 'visits'),
        ' in the window, ',
        count(214, 'recorder', 'recorders'),
        '; reports without a blocking finding count.',
      ],
    ],
    table: [
      {
        id: 'gross_area',
        label: 'Gross area',
        compared: area(247_000, 235_000, 259_000),
        shown: area(303_000, 287_000, 316_000),
      },
      {
        id: 'infested_area',
        label: 'Infested area',
        compared: area(154_000, 146_000, 162_000),
        shown: area(190_000, 182_000, 202_000),
      },
      {
        id: 'shares',
        label: 'measured / default / infill',
        compared: { kind: 'text', value: '41 / 21 / 38 %' },
        shown: { kind: 'text', value: '46 / 18 / 36 %' },
        isMinor: true,
      },
      {
        id: 'net_canopy',
        label: 'Net canopy (cover known for 88 %)',
        compared: { kind: 'area', value: 78_500 },
        shown: { kind: 'area', value: 101_600 },
      },
      {
        id: 'singles',
        label: 'Patches · single finds',
        compared: { kind: 'text', value: '14 · 9' },
        shown: { kind: 'text', value: '17 · 12' },
      },
      {
        id: 'status_newly_found',
        label: 'Newly found, age unknown',
        compared: null,
        shown: count(3, 'patch', 'patches'),
      },
      {
        id: 'farthest',
        label: 'Farthest downstream',
        compared: { kind: 'length', value: 6100 },
        shown: { kind: 'length', value: 7200 },
      },
      { id: 'visits', label: 'Visits in the window', compared: count(1204, '', ''), shown: count(1470, '', '') },
      {
        id: 'searched',
        label: 'Ground searched',
        compared: { kind: 'share', value: 0.22 },
        shown: { kind: 'share', value: 0.27 },
      },
      {
        id: 'treated',
        label: 'Treated',
        compared: { kind: 'area', value: 46_500 },
        shown: { kind: 'area', value: 64_700 },
      },
    ],
    effort: [effort('compared', '2024'), effort('shown', '2025')],
    chart,
    hindcast: [
      { kind: 'share', value: 0.61 },
      ' of new finds lay in the first tenth of bank; by distance downstream alone ',
      { kind: 'share', value: 0.38 },
      ', by chance 10 %.',
    ],
    cannotConclude: [
      ['Whether treatment reduced cover: 3 control plots, 5 needed.'],
      ['Whether patch 14 is gone: 4 clear visits, 2 more seasons due.'],
    ],
    positionNote: 'Positions are good to 30 m or better (95 %).',
    cautions: SHEET_CAUTIONS,
    credits: [
      'Reports: 214 recorders. Parcels: district roll, January 2025. NAD 83 is taken as equal to WGS 84 (1–2 m). Ranges are 90 %.',
    ],
  }
}

export function requestFor(
  page: SheetRequest['page'],
  orientation: SheetRequest['orientation'],
  audience: Audience = 'crew',
): SheetRequest {
  return { id: 'season-review', kind: 'season-review', page, orientation, audience }
}
