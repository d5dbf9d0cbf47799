import { InputError } from '../model/problem.ts'
import { orient } from './ring-groups.ts'
import type { JsonValue, WritableFeature, WritableGeometry } from './write-geojson.ts'
import { type ShapefileField, type ShapefileLayer, type ShapefileShape, shortenFieldNames } from './write-shapefile.ts'

/** What a table of a Shapefile can hold in one cell, bytes. */
const MOST_TEXT = 254
const MOST_DIGITS = 17
const MOST_DECIMALS = 9

/**
 * Features as a Shapefile's layer, coordinates as given. Lists become text; what the format cannot hold is told through `warn`.
 * Errors: InputError for features of several kinds, of several points each, or without any geometry.
 */
export function shapefileOfFeatures(
  name: string,
  features: readonly WritableFeature[],
  prj: string,
  warn: (code: string, message: string) => void,
): ShapefileLayer {
  const kinds = [...new Set(features.flatMap(({ geometry }) => (geometry === null ? [] : [geometry.kind])))].sort()
  if (kinds.length !== 1) {
    throw new InputError({
      code: 'shapefile-kind',
      layer: name,
      reason:
        kinds.length === 0
          ? 'There is no geometry for a Shapefile to hold'
          : `A Shapefile holds one kind of geometry, not ${kinds.join(' and ')}`,
      remedy: 'End the name of the output in .geojson or .csv.',
    })
  }
  const names = [...new Set(features.flatMap(feature => Object.keys(feature.properties)))]
  const columns = names.map(field => columnOf(field, features, warn))
  const short = shortenFieldNames(names)
  const renamed = names.flatMap((field, i) => (short[i] === field ? [] : [`${field} as ${short[i]}`]))
  if (renamed.length > 0) warn('shapefile-names', `Names of fields are cut to ten letters: ${renamed.join(', ')}.`)
  const fields = columns.map(column => column.field)
  const isEmpty = fields.length === 0
  return {
    name,
    kind: kinds[0]!,
    prj,
    fields: isEmpty ? [{ name: 'row', type: 'number', width: 10 }] : fields,
    shapes: features.map(feature => shapeOf(feature.geometry)),
    rows: features.map((_, i) => (isEmpty ? [i + 1] : columns.map(column => column.values[i]!))),
  }
}

type Cell = string | number | boolean | null

function columnOf(
  name: string,
  features: readonly WritableFeature[],
  warn: (code: string, message: string) => void,
): { readonly field: ShapefileField; readonly values: readonly Cell[] } {
  const values = features.map(({ properties }) => cellOf(properties[name]))
  const present = values.filter(value => value !== null)
  if (present.length > 0 && present.every(value => typeof value === 'boolean'))
    return { field: { name, type: 'logical', width: 1 }, values }
  if (present.length > 0 && present.every(value => typeof value === 'number')) return numbers(name, values, present)
  if (present.length > 0 && present.every(value => /^\d{4}-\d\d-\d\d$/.test(String(value))))
    return { field: { name, type: 'date', width: 8 }, values }
  const texts = values.map(value => (value === null ? null : fitBytes(String(value))))
  const cut = texts.filter((text, i) => text !== null && text !== String(values[i])).length
  if (cut > 0) warn('shapefile-text', `${cut} texts of ${name} are cut to ${MOST_TEXT} bytes.`)
  const width = Math.max(1, ...texts.map(text => (text === null ? 0 : bytesOf(text))))
  return { field: { name, type: 'text', width }, values: texts }
}

function numbers(name: string, values: readonly Cell[], present: readonly number[]) {
  const isWhole = present.every(Number.isInteger)
  const digits = Math.max(...present.map(value => Math.trunc(Math.abs(value)).toFixed(0).length))
  const decimals = isWhole ? 0 : Math.max(1, Math.min(MOST_DECIMALS, MOST_DIGITS - digits))
  const width = Math.max(...present.map(value => value.toFixed(decimals).length))
  return { field: { name, type: 'number' as const, width, decimals }, values }
}

function cellOf(value: JsonValue | undefined): Cell {
  if (value === null || value === undefined) return null
  if (typeof value === 'number') return Number.isFinite(value) ? value : null
  return typeof value === 'object' ? JSON.stringify(value) : value
}

const bytesOf = (text: string): number => new TextEncoder().encode(text).length

function fitBytes(text: string): string {
  if (bytesOf(text) <= MOST_TEXT) return text
  const letters = [...text]
  while (bytesOf(letters.join('')) > MOST_TEXT) letters.pop()
  return letters.join('')
}

/** Outer rings clockwise, holes counter-clockwise. Source: ESRI Shapefile Technical Description (1998), polygon. */
function shapeOf(geometry: WritableGeometry | null): ShapefileShape {
  if (geometry === null) return []
  if (geometry.kind === 'line') return geometry.paths.map(path => Array.from(path))
  if (geometry.kind === 'polygon') {
    return geometry.shape.flatMap(polygon => polygon.map((ring, i) => Array.from(orient(ring, i !== 0))))
  }
  if (geometry.points.length <= 2) return [Array.from(geometry.points)]
  throw new InputError({
    code: 'shapefile-multipoint',
    reason: 'A feature holds several points, for which this program writes no Shapefile',
    remedy: 'End the name of the output in .geojson.',
  })
}
