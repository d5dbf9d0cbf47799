import type { WritableFeature } from '../formats/index.ts'
import {
  columnValue,
  isInside,
  type Layer,
  measureArea,
  multiPathOf,
  multiPolygonOf,
  toGlobePaths,
  toGlobePolygons,
  toPlanePath,
  toPlanePolygons,
} from '../geo/index.ts'
import type { Audience } from '../model/brief.ts'
import type { MultiPolygon } from '../model/geometry.ts'
import type { Report } from '../model/report.ts'
import { coarsestOf, levelFor } from './audience.ts'
import { cellsOf, type OwnedPoint } from './cells.ts'
import { SHAPING_DISTANCE } from './own-land.ts'
import type { CuttingTools, PrivacyFacts, SharedReport } from './privacy-facts.ts'

/** What an audience other than the crew may have of a layer, and what was kept back from it. */
export interface SharedLayer {
  readonly features: readonly WritableFeature[]
  readonly withheld: readonly Withheld[]
}

export interface Withheld {
  readonly what: string
  readonly count: number
}

/** Everything that cutting a layer rests on. */
export interface LayerCut {
  readonly audience: Exclude<Audience, 'crew'>
  readonly facts: PrivacyFacts
  readonly tools: CuttingTools
  /** Ground of the programme, degrees; null where cells need not end at it. */
  readonly boundary: MultiPolygon | null
  /** Land of the owner, degrees; for the audience `owner`. */
  readonly land: MultiPolygon
}

const told = (...entries: Withheld[]): Withheld[] => entries.filter(({ count }) => count > 0)

/** Reports as consent allows: exact ones as points without their makers, coarser finds as counts by cell. */
export function cutReports(reports: readonly (Report & SharedReport)[], cut: LayerCut): SharedLayer {
  const { audience, tools, land, boundary } = cut
  const onLand = toPlanePolygons(land, tools.frame)
  const mayHave =
    audience === 'owner'
      ? reports.filter(report => isInside(onLand, ...tools.frame.toPlane(report.longitude, report.latitude)))
      : reports
  const levels = mayHave.map(report => levelFor(report.consent, audience))
  const exact = mayHave.filter((_, i) => levels[i] === 'exact')
  const found = mayHave.filter((report, i) => levels[i] === 'cell' && report.isFound)
  const coarse = found.filter(({ longitude, latitude }) => boundary === null || isInside(boundary, longitude, latitude))
  const cells = audience === 'owner' ? { features: [], hidden: coarse.length } : cellFeatures(coarse, cut)
  return {
    features: [...exact.map(reportFeature), ...cells.features],
    withheld: told(
      { what: 'reports on the land of others', count: reports.length - mayHave.length },
      { what: 'reports kept back by those who made them', count: levels.filter(level => level === 'withheld').length },
      { what: 'finds counted by cell instead of shown', count: coarse.length - cells.hidden },
      { what: 'finds outside of the boundary', count: found.length - coarse.length },
      { what: 'finds in cells with too few owners or reports', count: cells.hidden },
      {
        what: 'searches without a find, whose place may not be shown',
        count: mayHave.filter((report, i) => levels[i] === 'cell' && !report.isFound).length,
      },
    ),
  }
}

/** Fields that say nothing of the person who reported. */
function reportFeature(report: Report): WritableFeature {
  const { date, isFound, evidence, coverClass, cover, size, accuracy, extent } = report
  return {
    geometry: { kind: 'point', points: Float64Array.of(report.longitude, report.latitude) },
    properties: {
      date,
      found: isFound,
      evidence,
      cover_class: coverClass,
      cover,
      size_m2: size,
      accuracy_m: accuracy,
      extent_m: extent,
    },
  }
}

function cellFeatures(points: readonly OwnedPoint[], { facts, tools, boundary }: LayerCut) {
  const land = boundary === null ? null : toPlanePolygons(boundary, tools.frame)
  const { cells, hidden } = cellsOf([points], tools.frame, {
    ...(facts.cellSize === undefined ? {} : { size: facts.cellSize }),
    ...(facts.holders === undefined ? {} : { holders: facts.holders }),
    ...(land === null ? {} : { clip: (shape: MultiPolygon) => tools.engine.intersection(shape, land) }),
  })
  const features = cells.map(
    ({ outline, reports }): WritableFeature => ({
      geometry: { kind: 'polygon', shape: outline },
      properties: { reports: reports[0] ?? null },
    }),
  )
  return { features, hidden: hidden[0] ?? 0 }
}

/** Attributes of a patch that name neither it nor the reports behind it. */
const PATCH_FIELDS = [
  'season',
  'reports',
  'parts',
  'gross_area_m2',
  'infested_area_m2',
  'net_canopy_m2',
  'cover_known_share',
  'first_seen',
  'last_seen',
  'status',
  'outlier',
  'treated',
  'confirmed',
]

/** Patches: outlines where every report behind them allows it, cells for the others; on an owner's land that part alone. */
export function cutPatches(layer: Layer, cut: LayerCut): SharedLayer {
  const { audience, facts } = cut
  const patches = featuresIn(layer).map(feature => ({
    feature,
    reportIds: listOf(valueIn(layer, 'report_ids', feature)),
    shape: multiPolygonOf(layer, feature),
  }))
  const consentOf = (ids: readonly string[]) => coarsestOf(ids.map(id => facts.reports.get(id)?.consent ?? 'withheld'))
  if (audience === 'owner') return cutPatchesToLand(layer, patches, cut)
  const isExact = (ids: readonly string[]) => levelFor(consentOf(ids), audience) === 'exact'
  const exact = patches.filter(({ reportIds }) => isExact(reportIds))
  const coarse = patches.filter(({ reportIds }) => !isExact(reportIds))
  const points = [...new Set(coarse.flatMap(({ reportIds }) => reportIds))].sort().flatMap(id => {
    const report = facts.reports.get(id)
    return report === undefined || levelFor(report.consent, audience) === 'withheld' ? [] : [report]
  })
  const cells = cellFeatures(points, cut)
  return {
    features: [
      ...exact.map(
        ({ feature, shape }): WritableFeature => ({
          geometry: { kind: 'polygon', shape },
          properties: pick(layer, PATCH_FIELDS, feature),
        }),
      ),
      ...cells.features,
    ],
    withheld: told(
      { what: 'patches shown as cells or not at all', count: coarse.length },
      { what: 'finds of such patches in cells with too few owners or reports', count: cells.hidden },
    ),
  }
}

interface PatchShape {
  readonly feature: number
  readonly reportIds: readonly string[]
  readonly shape: MultiPolygon
}

function cutPatchesToLand(layer: Layer, patches: readonly PatchShape[], { facts, tools, land }: LayerCut): SharedLayer {
  const { frame, engine } = tools
  const own = toPlanePolygons(land, frame)
  const near = engine.buffer(own, SHAPING_DISTANCE, 8)
  const parts = patches
    .map(patch => ({
      ...patch,
      part: toGlobePolygons(engine.intersection(toPlanePolygons(patch.shape, frame), own), frame),
    }))
    .filter(({ part }) => part.length > 0)
  const shown = parts.filter(({ reportIds }) => {
    const shaping = reportIds
      .map(id => facts.reports.get(id))
      .filter(report => report === undefined || isInside(near, ...frame.toPlane(report.longitude, report.latitude)))
    return levelFor(coarsestOf(shaping.map(report => report?.consent ?? 'withheld')), 'owner') === 'exact'
  })
  return {
    features: shown.map(({ feature, part }) => ({
      geometry: { kind: 'polygon', shape: part },
      properties: { ...pick(layer, ['season'], feature), gross_area_m2: measureArea(part) },
    })),
    withheld: told(
      { what: 'patches on the land of others', count: patches.length - parts.length },
      { what: 'patches kept back by those who reported them', count: parts.length - shown.length },
    ),
  }
}

/** Reaches in the order of looking: without their sources; for the public streams that have a name; for owners on own land. */
export function cutReaches(layer: Layer, { audience, tools, land }: LayerCut): SharedLayer {
  const fields = layer.columns.map(column => column.name).filter(name => !/source/i.test(name))
  const features = featuresIn(layer).flatMap((feature): WritableFeature[] => {
    const paths = multiPathOf(layer, feature)
    const properties = pick(layer, fields, feature)
    if (audience === 'public' && typeof valueIn(layer, 'name', feature) !== 'string') return []
    if (audience !== 'owner') return [{ geometry: { kind: 'line', paths }, properties }]
    const own = toPlanePolygons(land, tools.frame)
    const pieces = tools.engine.clipPaths(
      paths.map(path => toPlanePath(path, tools.frame)),
      own,
    )
    if (pieces.length === 0) return []
    return [{ geometry: { kind: 'line', paths: toGlobePaths(pieces, tools.frame) }, properties }]
  })
  const what = audience === 'owner' ? 'reaches off this land' : 'reaches of streams without a name'
  return {
    features,
    withheld: told(
      { what, count: layer.featureCount - features.length },
      { what: 'columns that name a source', count: layer.columns.length - fields.length },
    ),
  }
}

/** Parcels: for partners their lines alone, since a number names an owner through the tax roll; for an owner the own ones. */
export function cutParcels(layer: Layer, ownerColumn: string | null, { audience, facts }: LayerCut): SharedLayer {
  const all = featuresIn(layer)
  const fields = layer.columns.map(column => column.name)
  if (audience !== 'owner') {
    return {
      features: all.map(feature => ({
        geometry: { kind: 'polygon', shape: multiPolygonOf(layer, feature) },
        properties: {},
      })),
      withheld: told({ what: 'columns of parcels', count: fields.length }),
    }
  }
  const own = all.filter(feature => ownerColumn !== null && valueIn(layer, ownerColumn, feature) === facts.owner)
  return {
    features: own.map(feature => ({
      geometry: { kind: 'polygon', shape: multiPolygonOf(layer, feature) },
      properties: pick(layer, fields, feature),
    })),
    withheld: told({ what: 'parcels of others', count: all.length - own.length }),
  }
}

const featuresIn = (layer: Layer): number[] => Array.from({ length: layer.featureCount }, (_, i) => i)

function valueIn(layer: Layer, name: string, feature: number) {
  const column = layer.columns.find(one => one.name.toLowerCase() === name.toLowerCase())
  return column === undefined ? null : columnValue(column, feature)
}

const pick = (layer: Layer, names: readonly string[], feature: number) =>
  Object.fromEntries(
    names
      .filter(name => layer.columns.some(column => column.name.toLowerCase() === name.toLowerCase()))
      .map(name => [name, valueIn(layer, name, feature)]),
  )

/** A list of report ids as a file holds it: a list in JSON, else texts between commas. */
function listOf(value: string | number | boolean | null): string[] {
  if (value === null) return []
  try {
    const list: unknown = JSON.parse(String(value))
    if (Array.isArray(list)) return list.map(String)
  } catch {
    // Not JSON: read below.
  }
  return String(value)
    .split(/[,;]/)
    .map(text => text.trim())
    .filter(text => text !== '')
}
