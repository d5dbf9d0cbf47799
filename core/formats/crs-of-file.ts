import { isGeographic, type Layer, parseCrsText } from '../geo/index.ts'
import type { Problem } from '../model/problem.ts'

export interface FileCrs {
  readonly crs: string | null
  readonly crsSource: Layer['crsSource']
  /** Coordinates are longitude and latitude in degrees. */
  readonly isGeographic: boolean
}

/** The CRS that a .prj or a `crs` member tells, else the one that stands in, else none. */
export function readFileCrs(text: string | undefined, standIn: string | undefined): FileCrs {
  if (text !== undefined && text.trim() !== '') {
    const parsed = parseCrsText(text)
    const crs = parsed?.crs ?? parsed?.name ?? null
    if (crs !== null)
      return { crs, crsSource: 'file', isGeographic: isGeographic(crs) || /^\s*GEOG(CS|CRS)\b/i.test(text) }
  }
  if (standIn !== undefined) return { crs: standIn, crsSource: 'brief', isGeographic: isGeographic(standIn) }
  return { crs: null, crsSource: 'none', isGeographic: false }
}

/** Why a position cannot be degrees of longitude and latitude; undefined where it can. */
export function findDegreeFault(longitude: number, latitude: number): string | undefined {
  if (!(Math.abs(longitude) <= 180)) return `longitude ${longitude} is beyond ±180`
  if (!(Math.abs(latitude) <= 90)) return `latitude ${latitude} is beyond ±90`
  return undefined
}

export const noCrsWarning = (file: string, layer: string): Problem => ({
  code: 'crs-missing',
  file,
  layer,
  reason: 'The file does not say which coordinate system it is in: bounds, lengths and areas are unknown',
  remedy: 'Add its .prj, or name the system ("crs": "EPSG:n") in the brief.',
})
