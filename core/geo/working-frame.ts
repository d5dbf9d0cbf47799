import type { Box } from '../model/geometry.ts'
import { InputError, type Problem } from '../model/problem.ts'
import { findCrs } from './crs-table.ts'
import type { WorkingFrame } from './frame.ts'
import { pointScale } from './frame-scale.ts'
import { createProjection, parseProjectionText } from './projection.ts'
import { longitudeWithin } from './transverse-mercator.ts'
import { utmZone } from './utm.ts'

/** Scale error above which data are too wide for one frame. Source: none, common practice (1 m in a kilometre). */
const SCALE_LIMIT = 1 / 1000

/**
 * The local transverse Mercator frame of the data: scale 1 on its central meridian, origin at the middle of their box,
 * rounded to 1e-4 degree so that the same data give the same frame in any order.
 * Shapes: longitude and latitude of every vertex in turn, degrees.
 * Errors: InputError `frame-no-data` without a vertex, `frame-too-wide` where lengths would be off by over 1/1000.
 */
export function chooseWorkingFrame(coords: Float64Array): WorkingFrame {
  const [west, south, east, north] = boxOfPlaces(coords)
  const [longitude, latitude] = [round4(longitudeWithin((west + east) / 2)), round4((south + north) / 2)]
  const text = `+proj=tmerc +lat_0=${latitude} +lon_0=${longitude} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m`
  const place = `${describeAngle(latitude, 'N', 'S')}, ${describeAngle(longitude, 'E', 'W')}`
  return measuredFrame(text, `Local transverse Mercator at ${place}`, text, coords)
}

/**
 * The UTM frame of a place, with the exceptions of southern Norway and Svalbard.
 * Source: NGA.SIG.0012_2.0.0_UTMUPS (2014), section 7 and table of zones.
 */
export function utmFrame(longitude: number, latitude: number, coords?: Float64Array): WorkingFrame {
  const zone = utmZone(longitude, latitude)
  return frameFromCrs(`EPSG:${latitude < 0 ? 32700 + zone : 32600 + zone}`, coords)
}

/**
 * The frame of a registered system (`EPSG:n`, in metres) or of the PROJ text of a local transverse Mercator.
 * Without coordinates the scale error is given as NaN: it belongs to data.
 * Errors: InputError `frame-crs` for a system that cannot serve, `frame-too-wide` as for a chosen frame.
 */
export function frameFromCrs(crs: string, coords?: Float64Array): WorkingFrame {
  if (parseProjectionText(crs).get('proj') === 'tmerc') {
    return measuredFrame(crs, 'Local transverse Mercator', crs, coords)
  }
  const found = findCrs(crs)
  if (found === undefined || found.unit !== 'metre') {
    throw new InputError({
      code: 'frame-crs',
      field: 'working_crs',
      value: crs,
      reason:
        found === undefined
          ? 'The working CRS is not among the systems that can be used'
          : `The working CRS counts in ${found.unit === 'degree' ? 'degrees' : 'feet'}, not in metres`,
      remedy: 'Use "auto", a UTM zone such as EPSG:32618, or a State Plane zone in metres.',
    })
  }
  return measuredFrame(found.projection, found.name, found.code, coords)
}

function measuredFrame(text: string, name: string, crs: string, coords: Float64Array | undefined): WorkingFrame {
  const projection = createProjection(text)
  const frame = {
    crs,
    name,
    scaleError: Number.NaN,
    toPlane: projection.forward,
    toGlobe: projection.inverse,
  }
  if (coords === undefined) return frame
  const scaleError = largestScaleError(frame, boxOfPlaces(coords))
  if (!(scaleError <= SCALE_LIMIT)) {
    throw new InputError(crs === text ? tooWide(name, scaleError) : wrongSystem(crs, scaleError))
  }
  return { ...frame, scaleError }
}

const offBy = (scaleError: number): string =>
  Number.isFinite(scaleError) ? `would be off by up to ${(scaleError * 1000).toFixed(1)} in 1000` : 'have no meaning'

const tooWide = (name: string, scaleError: number): Problem => ({
  code: 'frame-too-wide',
  value: name,
  reason: `The data reach too far for one working frame: lengths ${offBy(scaleError)}`,
  remedy: 'Check for positions far from the rest (swapped or missing coordinates), or work the area in parts.',
})

const wrongSystem = (crs: string, scaleError: number): Problem => ({
  code: 'frame-too-wide',
  field: 'working_crs',
  value: crs,
  reason: `The working CRS does not fit where the data lie: lengths there ${offBy(scaleError)}`,
  remedy: 'Use "auto", or a UTM or State Plane zone in which the data lie.',
})

/** Largest |scale - 1| over a grid on the box of the data, corners and middle included. */
function largestScaleError(frame: WorkingFrame, [west, south, east, north]: Box): number {
  const steps = 8
  let largest = 0
  for (let row = 0; row <= steps; row++) {
    for (let column = 0; column <= steps; column++) {
      const longitude = west + ((east - west) * column) / steps
      const error = Math.abs(pointScale(frame, longitude, south + ((north - south) * row) / steps) - 1)
      if (!(error <= largest)) largest = error
    }
  }
  return largest
}

/** Box of the vertices; longitudes are counted from the first one, so that the antimeridian does no harm. */
function boxOfPlaces(coords: Float64Array): Box {
  if (coords.length < 2) {
    throw new InputError({
      code: 'frame-no-data',
      reason: 'There is no position from which a working frame could be chosen',
      remedy: 'Give at least one layer with coordinates.',
    })
  }
  const start = coords[0]!
  let [west, east, south, north] = [0, 0, coords[1]!, coords[1]!]
  for (let i = 0; i < coords.length; i += 2) {
    const [offset, latitude] = [longitudeWithin(coords[i]! - start), coords[i + 1]!]
    if (!(Number.isFinite(offset) && latitude >= -90 && latitude <= 90)) {
      throw new Error(`Position ${coords[i]}, ${latitude} is not a longitude and latitude`)
    }
    west = Math.min(west, offset)
    east = Math.max(east, offset)
    south = Math.min(south, latitude)
    north = Math.max(north, latitude)
  }
  return [start + west, south, start + east, north]
}

const round4 = (value: number): number => Math.round(value * 1e4) / 1e4

const describeAngle = (angle: number, positive: string, negative: string): string =>
  `${Math.abs(angle).toFixed(4)} ${angle < 0 ? negative : positive}`
