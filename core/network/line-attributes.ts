import { type Column, columnValue, findColumn, type Layer } from '../geo/index.ts'
import { InputError, type ReachLine, WATER_KINDS } from '../model/index.ts'
import { readVelocities } from './flow-velocity.ts'

/** Names of the columns of a layer of waterways; absent ones fall back on what is understood without being told. */
export interface WaterwayFields {
  readonly id?: string
  readonly name?: string
  readonly direction?: string
  readonly width?: string
}

/** What an attribute says of the direction of flow. */
export const GIVEN_DIRECTION = ['none', 'with', 'against', 'both', 'unknown'] as const
const NONE = 0

/** What the attributes of the lines say, one entry a feature. */
export interface LineAttributes {
  /** What is told of a line; not made before it is asked for, because a million objects slow all other work down. */
  readonly describe: (line: number) => ReachLine
  /** Index into GIVEN_DIRECTION. */
  readonly direction: Uint8Array
  /** Height of the first vertex less that of the last, metres; NaN where one of them is missing. */
  readonly drop: Float64Array
  readonly share: Float64Array
  readonly retention: Float64Array
  readonly isOutlet: Uint8Array
  /** Index into WATER_KINDS. */
  readonly water: Uint8Array
  /** Metres a second; NaN where neither velocity nor slope is given. */
  readonly velocity: Float64Array
  /** 1 where the line is a culvert, a bridge or marked `no_node`: it meets others at its own ends alone. */
  readonly isUnnoded: Uint8Array
  /** 1 where a share or an outlet of its own says that the line starts and ends as digitised, unless its direction is given. */
  readonly isDeclared: Uint8Array
}

const DIRECTION_WORDS: Readonly<Record<string, number>> = {
  with: 1,
  '1': 1,
  against: 2,
  '-1': 2,
  both: 3,
  '2': 3,
  unknown: 4,
  '0': 4,
}

/**
 * Reads the attributes that the network understands.
 * Errors: InputError that names column, row and what was found, for a named column that is not there, a direction word that
 * is not known, a share outside 0-1 or a retention length that is not above 0.
 */
export function readLineAttributes(layer: Layer, fields: WaterwayFields): LineAttributes {
  const find = (field: keyof WaterwayFields): Column | undefined => {
    const name = fields[field]
    const column = findColumn(layer, name ?? field)
    if (name !== undefined && column === undefined) throw missingColumn(layer, name)
    return column
  }
  const id = find('id')
  const name = find('name')
  const width = fields.width === undefined ? findColumn(layer, 'width_m') : find('width')
  const direction = readDirections(layer, find('direction'))
  const water = readWaterKinds(layer)
  water.forEach((kind, i) => {
    // A tide runs both ways, unless an attribute says that this reach does not.
    if (kind === TIDAL && direction[i] === NONE) direction[i] = 3
  })
  readFlags(layer, 'both_ways').forEach((isBoth, i) => {
    if (isBoth) direction[i] = 3
  })
  const [top, bottom] = [readNumbers(layer, 'z_from'), readNumbers(layer, 'z_to')]
  const share = readNumbers(layer, 'share', value => value >= 0 && value <= 1, 'a share lies between 0 and 1')
  const isOutlet = readFlags(layer, 'outlet')
  const isUnnoded = readFlags(layer, 'no_node')
  for (const name of ['culvert', 'bridge']) {
    readFlags(layer, name).forEach((flag, i) => {
      if (flag) isUnnoded[i] = 1
    })
  }
  return {
    describe: line => {
      const row = layer.rows[line] ?? line + 1
      return { id: textOf(id, line) ?? String(row), row, name: textOf(name, line), width: numberOf(width, line) }
    },
    direction,
    drop: top.map((z, i) => z - bottom[i]!),
    share,
    retention: readNumbers(layer, 'retention_m', value => value > 0, 'a retention length is above 0 metres'),
    isOutlet,
    water,
    velocity: readVelocities((name, isValid, rule) => readNumbers(layer, name, isValid, rule)),
    isUnnoded,
    isDeclared: isOutlet.map((flag, i) => (flag || share[i]! >= 0 ? 1 : 0)),
  }
}

const TIDAL = WATER_KINDS.indexOf('tidal')

/** What each line is by its flags `ditch`, `tidal` and `lake`; the last of them counts. */
function readWaterKinds(layer: Layer): Uint8Array {
  const water = new Uint8Array(layer.featureCount)
  WATER_KINDS.forEach((kind, code) => {
    if (code === 0) return
    readFlags(layer, kind).forEach((flag, i) => {
      if (flag) water[i] = code
    })
  })
  return water
}

function missingColumn(layer: Layer, name: string): InputError {
  return new InputError({
    code: 'network-no-column',
    file: layer.name,
    field: name,
    reason: 'the layer has no such column',
    remedy: `Its columns are: ${layer.columns.map(column => column.name).join(', ') || 'none'}.`,
  })
}

function textOf(column: Column | undefined, feature: number): string | null {
  const value = column === undefined ? null : columnValue(column, feature)
  return value === null || String(value).trim() === '' ? null : String(value).trim()
}

function numberOf(column: Column | undefined, feature: number): number | null {
  const text = textOf(column, feature)
  const value = text === null ? Number.NaN : Number(text)
  return Number.isFinite(value) ? value : null
}

function readDirections(layer: Layer, column: Column | undefined): Uint8Array {
  const direction = new Uint8Array(layer.featureCount)
  if (column === undefined) return direction
  const unknown = new Map<string, number>()
  for (let i = 0; i < layer.featureCount; i++) {
    const text = textOf(column, i)
    if (text === null) continue
    const word = Number.isNaN(Number(text)) ? text.toLowerCase() : String(Number(text))
    const code = DIRECTION_WORDS[word] ?? NONE
    if (code === NONE && !unknown.has(text)) unknown.set(text, layer.rows[i] ?? i + 1)
    direction[i] = code
  }
  if (unknown.size > 0) throw badDirections(layer, column, unknown)
  return direction
}

function badDirections(layer: Layer, column: Column, unknown: ReadonlyMap<string, number>): InputError {
  const [first] = unknown
  const listed = [...unknown].slice(0, 10).map(([text, row]) => `"${text}" (row ${row})`)
  const more = unknown.size > 10 ? ` and ${unknown.size - 10} more` : ''
  return new InputError({
    code: 'network-direction-value',
    file: layer.name,
    row: first![1],
    field: column.name,
    value: first![0].slice(0, 80),
    reason: `the direction field holds ${listed.join(', ')}${more}`,
    remedy: 'Use with, against, both or unknown (or 1, -1, 2, 0), or name another direction field.',
  })
}

function readNumbers(layer: Layer, name: string, isValid?: (value: number) => boolean, rule?: string): Float64Array {
  const column = findColumn(layer, name)
  const values = new Float64Array(layer.featureCount).fill(Number.NaN)
  if (column === undefined) return values
  for (let i = 0; i < layer.featureCount; i++) {
    const text = textOf(column, i)
    if (text === null) continue
    const value = Number(text)
    if (isValid !== undefined && !isValid(value)) {
      throw new InputError({
        code: `network-${name.replaceAll('_', '-')}`,
        file: layer.name,
        row: layer.rows[i] ?? i + 1,
        field: column.name,
        value: text.slice(0, 80),
        reason: rule ?? 'the value cannot be used',
        remedy: 'Correct the value or leave it blank.',
      })
    }
    values[i] = value
  }
  return values
}

function readFlags(layer: Layer, name: string): Uint8Array {
  const column = findColumn(layer, name)
  const flags = new Uint8Array(layer.featureCount)
  if (column === undefined) return flags
  if (column.type === 'boolean') return column.values.map(value => (value === 1 ? 1 : 0))
  for (let i = 0; i < layer.featureCount; i++) {
    flags[i] = /^(true|yes|y|t|1)$/i.test(textOf(column, i) ?? '') ? 1 : 0
  }
  return flags
}
