import { azimuthBetween, measureDistance, type WorkingFrame } from '../geo/index.ts'
import type { AdvanceOrigin, Patch } from '../model/index.ts'
import type { Extent } from './extent.ts'
import { centroidOf } from './planar-centroid.ts'

export type GlobePlace = readonly [longitude: number, latitude: number]

/** How far a place is from where the front started, and which way it lies from there. */
export interface Bearing {
  /** Metres. */
  readonly distance: number
  /** Degrees clockwise from true north. */
  readonly azimuth: number
}

/** Where the front started: one place, several, or a boundary. */
export interface Origins {
  readonly places: readonly GlobePlace[]
  /** On the ellipsoid, from the nearest origin. */
  locate(x: number, y: number): Bearing
  /** In the working frame, near enough to choose among places. */
  locateRoughly(x: number, y: number): Bearing
}

export interface OriginInput {
  readonly origin: AdvanceOrigin
  readonly patchesBySeason: readonly (readonly Patch[])[]
  /** Extents of the seasons, in the same order. */
  readonly extents: readonly Extent[]
  readonly frame: WorkingFrame
}

/** Origins as the settings ask for; null where they ask for a first patch and there is none. */
export function createOrigins({ origin, patchesBySeason, extents, frame }: OriginInput): Origins | null {
  if (origin !== 'first-patch' && origin !== 'boundary') {
    return fromPlaces(isSeveral(origin) ? origin : [origin], frame)
  }
  const first = patchesBySeason.findIndex(patches => patches.length > 0)
  if (first < 0) return null
  const patches = patchesBySeason[first]!
  const largest = patches.reduce((best, patch) => (patch.grossArea > best.grossArea ? patch : best))
  if (origin === 'first-patch') return fromPlaces([frame.toGlobe(...centroidOf(largest))], frame)
  const about = fromPlaces(
    patches.map(patch => frame.toGlobe(...centroidOf(patch))),
    frame,
  )
  const extent = extents[first]!
  // The frame's scale is within 1e-6 of 1 over a county, so a distance in it is one on the ground.
  const distance = (x: number, y: number) => Math.max(0, extent.signedDistance(x, y))
  return {
    places: about.places,
    locate: (x, y) => ({ distance: distance(x, y), azimuth: about.locate(x, y).azimuth }),
    locateRoughly: (x, y) => ({ distance: distance(x, y), azimuth: about.locateRoughly(x, y).azimuth }),
  }
}

const isSeveral = (origin: GlobePlace | readonly GlobePlace[]): origin is readonly GlobePlace[] =>
  typeof origin[0] !== 'number'

function fromPlaces(places: readonly GlobePlace[], frame: WorkingFrame): Origins {
  const known = places.map(place => {
    const [x, y] = frame.toPlane(...place)
    return { place, x, y, north: azimuthBetween(...place, ...frame.toGlobe(x, y + 1000)) }
  })
  const nearest = (x: number, y: number) =>
    known.reduce((best, one) => (Math.hypot(one.x - x, one.y - y) < Math.hypot(best.x - x, best.y - y) ? one : best))
  return {
    places,
    locate(x, y) {
      const { place } = nearest(x, y)
      const other = frame.toGlobe(x, y)
      return { distance: measureDistance(...place, ...other), azimuth: azimuthBetween(...place, ...other) }
    },
    locateRoughly(x, y) {
      const { x: x0, y: y0, north } = nearest(x, y)
      const azimuth = north + (Math.atan2(x - x0, y - y0) * 180) / Math.PI
      return { distance: Math.hypot(x - x0, y - y0), azimuth }
    },
  }
}
