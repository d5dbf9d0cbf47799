/**
 * Writes a vector tile.
 * Source: Mapbox Vector Tile Specification 2.1, sections 4.1-4.4 (layers, features, geometry commands, values).
 */
import { PbfWriter } from 'pbf'

export const TILE_EXTENT = 4096

export type TileValue = string | number | boolean

export interface TileFeature {
  readonly id: number
  readonly kind: 'point' | 'line' | 'polygon'
  /** Whole tile units; for polygons closed rings, outer ones clockwise on the page, holes the other way. */
  readonly paths: readonly (readonly number[])[]
  readonly properties: Readonly<Record<string, TileValue>>
}

export interface TileLayer {
  readonly name: string
  readonly features: readonly TileFeature[]
}

const KIND_CODE = { point: 1, line: 2, polygon: 3 } as const
const MOVE_TO = 1
const LINE_TO = 2
const CLOSE_PATH = 7
const command = (id: number, count: number) => (count << 3) | id
const zigzag = (value: number) => (value << 1) ^ (value >> 31)

export function writeTile(layers: readonly TileLayer[]): Uint8Array {
  const writer = new PbfWriter()
  for (const layer of layers) if (layer.features.length > 0) writer.writeMessage(3, writeLayer, layer)
  return writer.finish().slice()
}

function writeLayer(layer: TileLayer, writer: PbfWriter): void {
  const keys = new Map<string, number>()
  const values = new Map<TileValue, number>()
  writer.writeVarintField(15, 2)
  writer.writeStringField(1, layer.name)
  for (const feature of layer.features) writer.writeMessage(2, writeFeature, { feature, keys, values })
  for (const key of keys.keys()) writer.writeStringField(3, key)
  for (const value of values.keys()) writer.writeMessage(4, writeValue, value)
  writer.writeVarintField(5, TILE_EXTENT)
}

interface FeatureJob {
  readonly feature: TileFeature
  readonly keys: Map<string, number>
  readonly values: Map<TileValue, number>
}

function writeFeature({ feature, keys, values }: FeatureJob, writer: PbfWriter): void {
  writer.writeVarintField(1, feature.id)
  const tags: number[] = []
  for (const [key, value] of Object.entries(feature.properties)) tags.push(placeOf(keys, key), placeOf(values, value))
  writer.writePackedVarint(2, tags)
  writer.writeVarintField(3, KIND_CODE[feature.kind])
  writer.writePackedVarint(4, geometryCommands(feature))
}

function placeOf<T>(places: Map<T, number>, thing: T): number {
  const found = places.get(thing)
  if (found !== undefined) return found
  places.set(thing, places.size)
  return places.size - 1
}

function writeValue(value: TileValue, writer: PbfWriter): void {
  if (typeof value === 'string') writer.writeStringField(1, value)
  else if (typeof value === 'boolean') writer.writeBooleanField(7, value)
  else writer.writeDoubleField(3, value)
}

function geometryCommands(feature: TileFeature): number[] {
  const commands: number[] = []
  let [x, y] = [0, 0]
  const step = (path: readonly number[], at: number) => {
    commands.push(zigzag(path[at]! - x), zigzag(path[at + 1]! - y))
    x = path[at]!
    y = path[at + 1]!
  }
  if (feature.kind === 'point') {
    commands.push(command(MOVE_TO, feature.paths.length))
    for (const path of feature.paths) step(path, 0)
    return commands
  }
  for (const path of feature.paths) {
    const isRing = feature.kind === 'polygon'
    const end = isRing ? path.length - 2 : path.length
    commands.push(command(MOVE_TO, 1))
    step(path, 0)
    commands.push(command(LINE_TO, end / 2 - 1))
    for (let i = 2; i < end; i += 2) step(path, i)
    if (isRing) commands.push(command(CLOSE_PATH, 1))
  }
  return commands
}
