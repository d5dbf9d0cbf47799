/**
 * Cuts vector tiles from columnar layers. Coordinates go to web Mercator once a layer (for the screen only: nothing is
 * measured on them), a static index finds what a tile touches, and each feature is clipped, thinned and rounded.
 */
import type { MapLayer, MapLayerId } from '../../core/desk-view.ts'
import { type BoxIndex, columnValue, createBoxIndex, GEOMETRY_KIND, type Layer } from '../../core/geo/index.ts'
import { clipPath, clipRing, type Frame, reversePath, roundPath, thinPath, twiceArea } from './tile-geometry.ts'
import { TILE_EXTENT, type TileFeature, type TileLayer, type TileValue, writeTile } from './tile-writer.ts'

export interface TileCutter {
  /** The tile's bytes, the caller's to keep; empty where nothing lies. */
  cut(z: number, x: number, y: number): Uint8Array
}

/** Parcels tell nothing when a county fits the hand; they are left out of tiles above this. */
const FIRST_PARCEL_TILES = 11
const MARGIN = 128
const FRAME: Frame = { low: -MARGIN, high: TILE_EXTENT + MARGIN }
/** Thinning in tile units: 3 of 4096 on a 512-pixel tile are 0.4 pixel. */
const TOLERANCE = 3
const KEPT_TILES = 400

interface Prepared {
  readonly id: MapLayerId
  readonly layer: Layer
  readonly plane: Float64Array
  /** Of each feature: west, north, east, south; the other way round where it has no geometry. */
  readonly boxes: Float64Array
  readonly index: BoxIndex
  readonly properties: readonly Readonly<Record<string, TileValue>>[]
}

export function createTileCutter(layers: readonly MapLayer[]): TileCutter {
  const prepared = new Map<MapLayerId, Prepared>()
  const kept = new Map<string, Uint8Array>()
  const prepare = (map: MapLayer): Prepared => {
    const found = prepared.get(map.id) ?? prepareLayer(map)
    prepared.set(map.id, found)
    return found
  }
  return {
    cut(z, x, y) {
      const key = `${z}/${x}/${y}`
      const found = kept.get(key)
      if (found !== undefined) return found.slice()
      const cut: TileLayer[] = []
      for (const map of layers) {
        if (map.id === 'parcels' && z < FIRST_PARCEL_TILES) continue
        const features = cutLayer(prepare(map), z, x, y)
        cut.push({ name: map.id, features })
        if (map.id === 'patches') cut.push({ name: 'patch_marks', features: patchMarks(prepare(map), z, x, y) })
        if (map.id === 'arrows') cut.push({ name: 'arrow_heads', features: features.flatMap(arrowHead) })
      }
      const bytes = writeTile(cut)
      if (kept.size >= KEPT_TILES) kept.delete(kept.keys().next().value!)
      kept.set(key, bytes)
      return bytes.slice()
    },
  }
}

function prepareLayer({ id, layer }: MapLayer): Prepared {
  const { coords } = layer.geometry
  const plane = new Float64Array(coords.length)
  for (let i = 0; i < coords.length; i += 2) {
    plane[i] = coords[i]! / 360 + 0.5
    const sine = Math.sin((coords[i + 1]! * Math.PI) / 180)
    plane[i + 1] = 0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI)
  }
  const boxes = boxesOf(layer, plane)
  return { id, layer, plane, boxes, index: createBoxIndex(boxes), properties: styleProperties(id, layer) }
}

function boxesOf(layer: Layer, plane: Float64Array): Float64Array {
  const { features, parts, rings } = layer.geometry
  const boxes = new Float64Array(4 * layer.featureCount)
  for (let f = 0; f < layer.featureCount; f++) {
    let [west, north, east, south] = [2, 2, -2, -2]
    const [from, to] = [rings[parts[features[f]!]!]!, rings[parts[features[f + 1]!]!]!]
    for (let v = from; v < to; v++) {
      const [px, py] = [plane[2 * v]!, plane[2 * v + 1]!]
      west = Math.min(west, px)
      east = Math.max(east, px)
      north = Math.min(north, py)
      south = Math.max(south, py)
    }
    boxes.set([west, north, east, south], 4 * f)
  }
  return boxes
}

/** The columns that a style reads, by layer: nothing else of a file, and no name that a file chose, reaches the map. */
const STYLE_COLUMNS: Readonly<Partial<Record<MapLayerId, readonly string[]>>> = {
  parcels: ['status'],
  searched: ['season'],
  reference: ['source'],
  reaches: ['order', 'name', 'problem'],
  patches: ['season', 'outlier', 'label'],
  finds: ['season', 'state'],
  clear: ['season'],
  arrows: ['from', 'to', 'label'],
}

/** A look at the reaches stands in a column a season. */
const isLook = (id: MapLayerId, name: string) => id === 'reaches' && /^(flood_)?look\//.test(name)

function styleProperties(id: MapLayerId, layer: Layer): Record<string, TileValue>[] {
  // The desk's own columns come after those of a file that may bear the same name.
  const named = (STYLE_COLUMNS[id] ?? []).flatMap(name => layer.columns.findLast(column => column.name === name) ?? [])
  const columns = [...named, ...layer.columns.filter(column => isLook(id, column.name))]
  return Array.from({ length: layer.featureCount }, (_, f) => {
    const properties: Record<string, TileValue> = {}
    for (const column of columns) {
      const value = columnValue(column, f)
      if (value !== null && value !== '') properties[column.name] = value
    }
    return properties
  })
}

function cutLayer(prepared: Prepared, z: number, x: number, y: number): TileFeature[] {
  const tiles = 2 ** z
  const reach = MARGIN / TILE_EXTENT
  // In ascending order, which is the order of drawing.
  const found = prepared.index.search([
    (x - reach) / tiles,
    (y - reach) / tiles,
    (x + 1 + reach) / tiles,
    (y + 1 + reach) / tiles,
  ])
  return found.flatMap(f =>
    cutFeature(prepared, f, { scale: tiles * TILE_EXTENT, x: x * TILE_EXTENT, y: y * TILE_EXTENT }),
  )
}

interface TilePlace {
  readonly scale: number
  readonly x: number
  readonly y: number
}

function cutFeature(prepared: Prepared, f: number, place: TilePlace): TileFeature[] {
  const { geometry } = prepared.layer
  const kind = GEOMETRY_KIND[geometry.kinds[f]!]!
  if (kind === 'none') return []
  const paths: number[][] = []
  for (let part = geometry.features[f]!; part < geometry.features[f + 1]!; part++) {
    for (let ring = geometry.parts[part]!; ring < geometry.parts[part + 1]!; ring++) {
      const path = pathOnTile(prepared, ring, place)
      if (kind === 'point') paths.push(...pointInside(path))
      else if (kind === 'line') paths.push(...cutLine(path))
      else {
        const cut = cutRing(path, ring === geometry.parts[part]!)
        if (cut === null && ring === geometry.parts[part]!) break
        if (cut !== null) paths.push(cut)
      }
    }
  }
  return paths.length === 0 ? [] : [{ id: f, kind, paths, properties: prepared.properties[f]! }]
}

function pathOnTile({ plane, layer }: Prepared, ring: number, place: TilePlace): number[] {
  const { rings } = layer.geometry
  const path: number[] = []
  for (let v = rings[ring]!; v < rings[ring + 1]!; v++)
    path.push(plane[2 * v]! * place.scale - place.x, plane[2 * v + 1]! * place.scale - place.y)
  return path
}

const isInside = (value: number) => value >= 0 && value < TILE_EXTENT

const pointInside = (path: readonly number[]): number[][] =>
  isInside(path[0]!) && isInside(path[1]!) ? [roundPath(path.slice(0, 2))] : []

const cutLine = (path: readonly number[]): number[][] =>
  clipPath(thinPath(path, TOLERANCE), FRAME)
    .map(roundPath)
    .filter(piece => piece.length >= 4)

function cutRing(path: readonly number[], isOuter: boolean): number[] | null {
  const ring = roundPath(clipRing(thinPath(path, TOLERANCE), FRAME))
  const area = twiceArea(ring)
  if (ring.length < 8 || area === 0) return null
  return area > 0 === isOuter ? ring : reversePath(ring)
}

/** Patches as points in the middle of their boxes: where their sign stands and, once each, their name. */
function patchMarks({ boxes, properties }: Prepared, z: number, x: number, y: number): TileFeature[] {
  const scale = 2 ** z * TILE_EXTENT
  return properties.flatMap((own, f): TileFeature[] => {
    const px = ((boxes[4 * f]! + boxes[4 * f + 2]!) / 2) * scale - x * TILE_EXTENT
    const py = ((boxes[4 * f + 1]! + boxes[4 * f + 3]!) / 2) * scale - y * TILE_EXTENT
    return isInside(px) && isInside(py) ? [{ id: f, kind: 'point', paths: [roundPath([px, py])], properties: own }] : []
  })
}

/** The end of an arrow as a point that knows its bearing; only in the tile that holds the end. */
function arrowHead(arrow: TileFeature): TileFeature[] {
  const path = arrow.paths.at(-1)
  if (arrow.kind !== 'line' || path === undefined) return []
  const [x, y] = [path.at(-2)!, path.at(-1)!]
  if (!isInside(x) || !isInside(y)) return []
  const bearing = (Math.atan2(x - path.at(-4)!, path.at(-3)! - y) * 180) / Math.PI
  return [{ id: arrow.id, kind: 'point', paths: [[x, y]], properties: { ...arrow.properties, bearing } }]
}
