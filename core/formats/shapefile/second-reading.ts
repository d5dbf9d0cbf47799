/// <reference path="./shpjs.d.ts" />
import { parseDbf, parseShp, type ShpjsGeometry } from 'shpjs'
import type { Layer } from '../../geo/index.ts'

/** Layers of up to this many records are read a second time, by shpjs, and the two readings compared. */
export const SECOND_READING_RECORDS = 2000

/** A layer as shpjs reads it, in the file's own coordinates; the files have passed the gate before. */
export function readWithShpjs(parts: {
  readonly shp: Uint8Array
  readonly dbf: Uint8Array | undefined
  readonly cpg: string | undefined
}): {
  readonly geometries: readonly (ShpjsGeometry | null)[]
  readonly rows: readonly Readonly<Record<string, unknown>>[]
} {
  const geometries = parseShp(viewOf(parts.shp))
  const rows = parts.dbf === undefined ? [] : parseDbf(viewOf(parts.dbf), parts.cpg)
  return { geometries, rows }
}

/** In what the second reading differs from the layer, in counts or in the sum of the coordinates; undefined where it agrees. */
export function findSecondReadingFault(parts: Parameters<typeof readWithShpjs>[0], layer: Layer): string | undefined {
  let second: ReturnType<typeof readWithShpjs>
  try {
    second = readWithShpjs(parts)
  } catch {
    // What the library cannot read at all says nothing about what was read here.
    return undefined
  }
  if (second.geometries.length !== layer.featureCount) {
    return `A second reading found ${second.geometries.length} features, the first ${layer.featureCount}`
  }
  const firstBounds = planarBounds(layer.geometry.coords)
  const flat: number[] = []
  for (const geometry of second.geometries) if (geometry) flattenXY(geometry.coordinates, flat)
  const secondBounds = planarBounds(flat)
  const isAlike = firstBounds.every((value, i) => value === secondBounds[i])
  return isAlike ? undefined : 'A second reading of the same file gives other bounds'
}

function planarBounds(coords: ArrayLike<number>): [number, number, number, number] {
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let i = 0; i + 1 < coords.length; i += 2) {
    box[0] = Math.min(box[0], coords[i]!)
    box[1] = Math.min(box[1], coords[i + 1]!)
    box[2] = Math.max(box[2], coords[i]!)
    box[3] = Math.max(box[3], coords[i + 1]!)
  }
  return box
}

/** x, y of every position of nested coordinates, Z left out. */
export function flattenXY(coordinates: unknown, into: number[]): void {
  if (!Array.isArray(coordinates)) return
  if (typeof coordinates[0] === 'number') into.push(coordinates[0], coordinates[1] as number)
  else for (const inner of coordinates) flattenXY(inner, into)
}

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
