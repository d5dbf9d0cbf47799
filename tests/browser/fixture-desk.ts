/** A small desk with invented answers, so that the window can be tested without the computation. Never in the product. */
import { locateFeatures } from '../../core/desk/feature-ids.ts'
import { shapeOfFeature } from '../../core/desk/feature-shape.ts'
import { featuresInBox } from '../../core/desk/features-in-box.ts'
import {
  type Desk,
  type FeatureCard,
  type LegendRow,
  type MapLayerId,
  type Overview,
  QUESTION_WORDS,
  QUESTIONS,
  type QuestionId,
  type QuestionView,
  type SeasonChoice,
} from '../../core/desk-view.ts'
import { geometryBounds } from '../../core/geo/index.ts'
import {
  type Answer,
  createTask,
  InputError,
  type Phrase,
  type Quantity,
  type TaskHost,
} from '../../core/model/index.ts'
import { at, buildFixturePlace, type FixturePatch, SEASONS } from './fixture-place.ts'

interface Options {
  readonly files: { read(path: string): Promise<Uint8Array> }
  readonly host: TaskHost
}

/** What the names of features need of a brief: no parcel field is named. */
const FIXTURE_BRIEF = { brief: { layers: {} } as Parameters<typeof locateFeatures>[0]['brief'] }

const nameOf = (patch: FixturePatch) => `${patch.season}/${patch.id}`

const area = (value: number): Quantity => ({ kind: 'area', value })
const length = (value: number, low?: number, high?: number): Quantity => ({
  kind: 'length',
  value,
  low: low ?? null,
  high: high ?? null,
})
const count = (value: number, singular: string, plural: string): Quantity => ({
  kind: 'count',
  value,
  noun: [singular, plural],
})

const LEGENDS: Readonly<Record<QuestionId, readonly [MapLayerId, string, string, ('shown' | 'compared')?][]>> = {
  gather: [
    ['finds', 'find', 'finds', 'shown'],
    ['clear', 'clear', 'looked, not found', 'shown'],
  ],
  vet: [
    ['finds', 'find', 'finds that count', 'shown'],
    ['finds', 'find-imprecise', 'position too rough for area', 'shown'],
  ],
  outline: [
    ['patches', 'patch-shown', 'patches', 'shown'],
    ['patches', 'patch-compared', 'patches', 'compared'],
    ['finds', 'find', 'finds', 'shown'],
    ['searched', 'searched', 'searched, not detected', 'shown'],
  ],
  advance: [
    ['patches', 'patch-shown', 'patches', 'shown'],
    ['patches', 'patch-compared', 'patches', 'compared'],
    ['patches', 'patch-outlier', 'outlier patches', 'shown'],
    ['arrows', 'arrow', 'edge move', 'shown'],
  ],
  downstream: [
    ['patches', 'patch-shown', 'patches', 'shown'],
    ['reaches', 'look-first', 'look first', 'shown'],
    ['reaches', 'look-next', 'look next', 'shown'],
    ['reaches', 'look-low', 'low', 'shown'],
    ['parcels', 'parcel-infested', 'infested parcels'],
  ],
  sheets: [
    ['patches', 'patch-shown', 'patches', 'shown'],
    ['patches', 'patch-compared', 'patches', 'compared'],
  ],
}

export function createDesk({ files, host }: Options): Desk {
  const place = buildFixturePlace()
  const state = { hasRun: false, version: 0, join: 30 }
  const patchesOf = (season: string | null) => place.patches.filter(patch => patch.season === season)
  const overview = (): Overview => buildOverview(state.hasRun, patchesOf('2025'))
  return {
    async openBrief(path) {
      const text = new TextDecoder().decode(await files.read(path))
      if (!text.includes('title'))
        throw new InputError({
          code: 'brief-title',
          file: path,
          reason: 'The brief has no title.',
          remedy: 'Give it one.',
        })
      await createTask(host).step(0.5, 'Reading parcels')
      return overview()
    },
    async run(settings) {
      const task = createTask(host)
      for (let i = 0; i < 30; i++) {
        await new Promise(resolve => setTimeout(resolve, state.hasRun ? 200 : 5))
        await task.step(i / 30, i < 12 ? 'Drawing outlines' : 'Following the water')
      }
      state.join = Number(settings?.['outline.join_m'] ?? state.join)
      state.hasRun = true
      state.version++
      return overview()
    },
    overview,
    question: (question, choice) => buildView(question, choice, patchesOf, state.join),
    mapLayers: () => ({ version: state.version, layers: state.hasRun ? place.layers : [] }),
    feature(layer, fid) {
      const found = place.layers.find(map => map.id === layer)!.layer
      const { features, parts, rings, coords } = found.geometry
      const [from, to] = [rings[parts[features[fid]!]!]!, rings[parts[features[fid + 1]!]!]!]
      const box = geometryBounds({ ...found.geometry, coords: coords.slice(2 * from, 2 * to) })!
      const patch = place.patches[fid]
      const shape = shapeOfFeature(found, fid)
      return layer === 'patches' && patch !== undefined
        ? { ...patchCard(patch, box), shape }
        : { layer, fid, id: String(fid), title: `${layer} ${fid}`, rows: [], why: [], box, shape }
    },
    ledger(layer, choice) {
      const rows =
        layer === 'patches'
          ? place.patches.filter(patch => patch.season === choice.shown || patch.season === choice.compared)
          : []
      const all = place.layers.find(map => map.id === layer)?.layer.featureCount ?? 0
      if (layer !== 'patches')
        return {
          layer,
          title: layer,
          columns: [{ id: 'row', label: 'Row', kind: 'count' }],
          rows: Array.from({ length: all }, (_, i) => [i]),
          fids: Array.from({ length: all }, (_, i) => i),
          ids: Array.from({ length: all }, (_, i) => String(i)),
        }
      return {
        layer,
        title: `Patches of ${choice.shown}${choice.compared === null ? '' : ` and ${choice.compared}`}`,
        columns: [
          { id: 'id', label: 'Patch', kind: 'text' },
          { id: 'season', label: 'Season', kind: 'text' },
          { id: 'status', label: 'Status', kind: 'text' },
          { id: 'gross', label: 'Gross area', kind: 'area' },
        ],
        rows: rows.map(patch => [patch.id, patch.season, patch.status, patch.area]),
        fids: rows.map(patch => patch.fid),
        ids: rows.map(nameOf),
      }
    },
    locate(layer, ids, choice) {
      const map = place.layers.find(one => one.id === layer)
      return map === undefined ? { fids: [], box: null } : locateFeatures(FIXTURE_BRIEF, map, ids, choice)
    },
    featuresIn: (box, layers, choice) =>
      place.layers
        .filter(map => layers.includes(map.id))
        .map(map => ({ layer: map.id, fids: featuresInBox(map, box, choice) }))
        .filter(({ fids }) => fids.length > 0),
    find: text =>
      place.patches
        .filter(patch => patch.season === '2025' && patch.id.toLowerCase().startsWith(text.toLowerCase()))
        .map(patch => ({
          label: `${patch.id}, 2025`,
          kind: 'patch',
          layer: 'patches',
          fid: patch.fid,
          box: [...at(patch.x - 0.4, patch.y - 0.4), ...at(patch.x + 0.4, patch.y + 0.4)],
        })),
    sheets: () => [{ id: 'season-review', title: 'Season review', page: 'letter', audience: 'partner' }],
    async drawSheet(_id, format) {
      await createTask(host).step(0.5, 'Drawing')
      const svg =
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 792 612"><rect width="792" height="612" fill="#fff"/><path d="M36 36H560V576H36Z" fill="none" stroke="#1d2a30"/></svg>'
      return new TextEncoder().encode(format === 'svg' ? svg : '%PDF-1.7\n%fixture\n')
    },
    writeProject: async () => new TextEncoder().encode('fixture'),
    outputs: async () => new Map(),
  }
}

function buildOverview(hasRun: boolean, newest: readonly FixturePatch[]): Overview {
  const answers: Readonly<Record<QuestionId, Phrase>> = {
    gather: [count(3041, 'report', 'reports'), ', ', count(24, 'refused', 'refused')],
    vet: [count(2914, 'counts', 'count')],
    outline: [
      area(newest.reduce((sum, patch) => sum + patch.area, 0)),
      ' gross in ',
      count(newest.length, 'patch', 'patches'),
    ],
    advance: ['Edge moved ', length(14), ', one jump'],
    downstream: ['Look first along ', length(1640)],
    sheets: [count(1, 'sheet', 'sheets'), ' ready'],
  }
  return {
    title: 'Tarn Brook district',
    dataDate: '2026-02-20',
    bounds: [...at(-0.4, -0.6), ...at(12.4, 8.8)],
    hasRun,
    warnings: [{ code: 'rejected', message: '24 rows were set aside: swapped coordinates, dates in the future.' }],
    spine: QUESTIONS.map(question => ({
      question,
      words: QUESTION_WORDS[question],
      answer: hasRun ? answers[question] : [],
      state: !hasRun ? 'waiting' : question === 'vet' ? 'attention' : 'fresh',
      note: hasRun && question === 'vet' ? '38 need a look' : null,
    })),
    seasons: SEASONS.map((season, s) => ({
      season,
      year: Number(season),
      start: `${season}-03-16`,
      end: `${Number(season) + 1}-03-15`,
      weeks: Array.from({ length: 52 }, (_, w) => ({
        found: Math.round((10 + 3 * s) * Math.exp(-(((w - 22) / 9) ** 2)) * (1 + 0.4 * Math.sin(w * 2.1 + s))),
        clear: Math.round(8 * Math.exp(-(((w - 25) / 12) ** 2)) * (1 + 0.5 * Math.cos(w * 1.7 + s))),
      })),
      detectable: [{ evidence: 'leaf', from: 0.12, to: 0.63 }],
    })),
  }
}

function buildView(
  question: QuestionId,
  choice: SeasonChoice,
  patchesOf: (season: string | null) => readonly FixturePatch[],
  join: number,
): QuestionView {
  const legend = LEGENDS[question].flatMap(([layer, symbol, label, role]): LegendRow[] => {
    const season = role === undefined ? null : choice[role]
    if (role !== undefined && season === null) return []
    return [
      {
        id: `${symbol}`,
        layer,
        symbol,
        label: season === null ? label : `${label}, ${season}`,
        season,
        isOn: symbol !== 'searched',
      },
    ]
  })
  return {
    question,
    choice,
    answer: buildAnswer(question, choice, patchesOf, join),
    legend: [
      ...legend,
      { id: 'reach', layer: 'reaches', symbol: 'reach', label: 'waterways', season: null, isOn: true },
      ...(['roads', 'rail'] as const).map((source, i) => ({
        id: `reference-${source}`,
        layer: 'reference' as const,
        symbol: i === 0 ? 'reference' : 'reference-second',
        label: source,
        season: null,
        source,
        isOn: true,
      })),
      { id: 'parcel', layer: 'parcels', symbol: 'parcel', label: 'parcels', season: null, isOn: true },
      { id: 'boundary', layer: 'boundary', symbol: 'boundary', label: 'programme boundary', season: null, isOn: true },
    ],
    settings: [
      {
        path: 'outline.join_m',
        label: 'Join distance',
        value: join,
        unit: 'm',
        source: 'common practice',
        effect: 'Finds nearer than this, edge to edge, are one patch.',
        min: 0,
        max: 500,
      },
    ],
    next: [
      { label: 'Look at the outlier', select: { layer: 'patches', ids: ['P6'] } },
      { label: 'Season review sheet', sheet: 'season-review' },
      { label: 'Where will water carry it?', question: 'downstream' },
    ],
  }
}

function buildAnswer(
  question: QuestionId,
  choice: SeasonChoice,
  patchesOf: (season: string | null) => readonly FixturePatch[],
  join: number,
): Answer {
  const sum = (season: string | null) => patchesOf(season).reduce((total, patch) => total + patch.area, 0)
  const shown = patchesOf(choice.shown)
  return {
    headline:
      question === 'advance'
        ? [
            `Since ${choice.compared ?? 'the first season'} the edge moved `,
            length(14, 9, 21),
            ', and one patch jumped ',
            length(1140),
            ', likely by water.',
          ]
        : [
            `In ${choice.shown} the vine stands on `,
            area(sum(choice.shown)),
            ' in ',
            count(shown.length, 'patch', 'patches'),
            '.',
          ],
    footing: [
      'Unchecked reports without a blocking finding count. Visits rose by ',
      { kind: 'share', value: 0.22 },
      '.',
    ],
    figures: [
      {
        id: 'gross',
        label: 'Gross area',
        quantity: {
          kind: 'area',
          value: sum(choice.shown),
          low: sum(choice.shown) * 0.9,
          high: sum(choice.shown) * 1.1,
        },
        why: {
          formula: 'Area on the ellipsoid of the outlines, less ground searched and found clear.',
          settings: [{ label: 'Join distance', quantity: length(join) }],
          selection: { layer: 'patches', ids: shown.map(nameOf) },
        },
      },
      { id: 'infested', label: 'Infested area', quantity: area(sum(choice.shown) * 0.61) },
      {
        id: 'infill',
        label: 'Share that is infill',
        quantity: { kind: 'share', value: 0.39 },
        why: { formula: 'Gross area that no disc of a plant covers.', settings: [] },
      },
      {
        id: 'compared',
        label: `Gross area, ${choice.compared ?? 'not compared'}`,
        quantity: area(sum(choice.compared)),
      },
      { id: 'rate', label: 'Along the water', quantity: { kind: 'rate', value: 410, low: 320, high: 505 } },
    ],
    chart: {
      title: question === 'downstream' ? 'Bank length by order of looking' : 'Gross area by season',
      kind: question === 'outline' ? 'bars' : 'seasons',
      yKind: 'area',
      points: SEASONS.map(season => ({
        label: season,
        x: Number(season),
        y: sum(season),
        low: sum(season) * 0.85,
        high: sum(season) * 1.15,
        season,
        selection: { layer: 'patches', ids: patchesOf(season).map(nameOf) },
      })),
      fit: question === 'outline' ? null : { from: [2021, sum('2021')], to: [2025, sum('2025')] },
      note: ['Bars show 90 % intervals from position error.'],
    },
    cannotConclude: question === 'advance' ? [['The rate above the mill: two seasons only; a third is needed.']] : [],
  }
}

function patchCard(patch: FixturePatch, box: FeatureCard['box']): FeatureCard {
  return {
    layer: 'patches',
    fid: patch.fid,
    id: nameOf(patch),
    title: `Patch ${patch.id}, ${patch.season}`,
    rows: [
      { label: 'Gross area', quantity: area(patch.area) },
      { label: 'Infested area', quantity: area(patch.area * 0.6) },
      { label: 'Reports', quantity: count(9, 'report', 'reports') },
      { label: 'Status', quantity: { kind: 'text', value: patch.status } },
    ],
    why: [['Nine finds lie within the join distance of ', length(30), '.']],
    box,
    shape: null,
  }
}
