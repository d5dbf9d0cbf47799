import { type Column, columnValue, type Layer, measureLayer, projectLayerToGlobe } from '../geo/index.ts'
import { InputError, type Problem } from '../model/problem.ts'
import type { FileReading } from './file-reading.ts'
import { boundsOnGlobe } from './globe-bounds.ts'
import { findSelfCrossing } from './self-crossing.ts'

/** A layer as `read --json` shows it; lengths in metres, areas in square metres, ellipsoidal, null without a CRS. */
export interface LayerDescription {
  readonly name: string
  readonly kind: Layer['kind']
  readonly features: number
  readonly null_geometries: number
  readonly parts: number
  readonly vertices: number
  readonly crs: string | null
  readonly crs_source: Layer['crsSource']
  readonly bounds_wgs84: readonly [number, number, number, number] | null
  readonly length_m: number | null
  readonly area_m2: number | null
  readonly fields: readonly { readonly name: string; readonly type: Column['type']; readonly filled: number }[]
  readonly encoding: string | null
}

export interface ReadingDescription {
  readonly format: FileReading['format']
  readonly layers: readonly LayerDescription[]
  readonly rejected: readonly Readonly<Record<string, unknown>>[]
  readonly warnings: readonly Readonly<Record<string, unknown>>[]
}

/** What a file holds, as the plain object of `read --json`. */
export function describeReading(reading: FileReading): ReadingDescription {
  const warnings: Problem[] = [...reading.warnings]
  const layers = reading.layers.map(layer => describeLayer(layer, warnings))
  const only = reading.layers.length === 1 ? reading.layers[0]!.name : null
  return {
    format: reading.format,
    layers,
    rejected: reading.rejected.map(problem => ({
      layer: problem.layer ?? only,
      row: problem.row ?? null,
      field: problem.field ?? null,
      reason: problem.reason,
      value: problem.value ?? null,
      ...(problem.remedy !== undefined && { remedy: problem.remedy }),
    })),
    warnings: warnings.map(({ file: _, ...rest }) => rest),
  }
}

function describeLayer(layer: Layer, warnings: Problem[]): LayerDescription {
  const globe = layer.crs === null ? undefined : findGlobeLayer(layer, warnings)
  const measured = globe && measureLayer(globe)
  warnings.push(...findSelfCrossing(layer).map(feature => crossedWarning(layer, feature)))
  const { kinds, parts, coords } = layer.geometry
  return {
    name: layer.name,
    kind: layer.kind,
    features: layer.featureCount,
    null_geometries: kinds.reduce((count, kind) => count + (kind === 0 ? 1 : 0), 0),
    parts: parts.length - 1,
    vertices: coords.length / 2,
    crs: layer.crs,
    crs_source: layer.crsSource,
    bounds_wgs84: (globe && boundsOnGlobe(globe.geometry)) ?? null,
    length_m: measured?.length ?? null,
    area_m2: measured?.area ?? null,
    fields: layer.columns.map(column => ({
      name: column.name,
      type: column.type,
      filled: countFilled(column, layer.featureCount),
    })),
    encoding: layer.encoding,
  }
}

const crossedWarning = (layer: Layer, feature: number): Problem => ({
  code: 'polygon-self-crossing',
  layer: layer.name,
  row: layer.rows[feature] ?? feature + 1,
  reason: 'The polygon crosses itself: its lobes count against each other in the area',
  remedy: 'Redraw it, or cut it in two where it crosses.',
})

/** The layer in degrees; undefined, with a warning, where its CRS is one that cannot be computed with. */
function findGlobeLayer(layer: Layer, warnings: Problem[]): Layer | undefined {
  try {
    return projectLayerToGlobe(layer)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    warnings.push({ ...error.problem, layer: layer.name })
    return undefined
  }
}

function countFilled(column: Column, featureCount: number): number {
  let filled = 0
  for (let i = 0; i < featureCount; i++) if (columnValue(column, i) !== null) filled++
  return filled
}
