/** WGS 84: equatorial radius in metres and first eccentricity squared. Source: NIMA TR8350.2 (2000), table 3.1 and 3.3. */
const EQUATORIAL_RADIUS = 6_378_137
const ECCENTRICITY_SQUARED = 6.694379990141317e-3

/** Metres in one degree of longitude at a latitude, and in one degree of latitude about it; for short distances. */
export interface LocalMetres {
  readonly x: number
  readonly y: number
}

/**
 * Radii of curvature of the ellipsoid turned into metres a degree.
 * Accuracy: a distance of d metres taken near the latitude is right to about d * d / 10,000 km.
 * Source: Snyder (1987), Map projections, a working manual, USGS Professional Paper 1395, equations 4-18 and 4-20.
 */
export function localMetresAt(latitude: number): LocalMetres {
  const angle = (latitude * Math.PI) / 180
  const sine = Math.sin(angle)
  const root = Math.sqrt(1 - ECCENTRICITY_SQUARED * sine * sine)
  const normal = EQUATORIAL_RADIUS / root
  const meridional = (EQUATORIAL_RADIUS * (1 - ECCENTRICITY_SQUARED)) / root ** 3
  // A pole has no east; a tiny width keeps divisions finite there.
  return { x: Math.max(1e-6, (normal * Math.cos(angle) * Math.PI) / 180), y: (meridional * Math.PI) / 180 }
}

/** Places near one centre on the plane that touches the ellipsoid there; geodesics are straight on it. */
export interface TangentPlane {
  toPlane(longitude: number, latitude: number): readonly [x: number, y: number]
}

/**
 * Central projection from the centre of curvature onto the tangent plane, x east and y north, metres.
 * Accuracy: distances from the centre to 1e-3 m within 5 km.
 */
export function createTangentPlane(longitude: number, latitude: number): TangentPlane {
  const [lambda, phi] = [(longitude * Math.PI) / 180, (latitude * Math.PI) / 180]
  const [sinPhi, cosPhi, sinLambda, cosLambda] = [Math.sin(phi), Math.cos(phi), Math.sin(lambda), Math.cos(lambda)]
  const radius = Math.sqrt(normalAt(sinPhi) * meridionalAt(sinPhi))
  const centre = toCartesian(longitude, latitude)
  return {
    toPlane(lon, lat) {
      const place = toCartesian(lon, lat)
      const [dx, dy, dz] = [place[0] - centre[0], place[1] - centre[1], place[2] - centre[2]]
      const along = cosLambda * dx + sinLambda * dy
      const up = cosPhi * along + sinPhi * dz
      const factor = radius / (radius + up)
      return [(cosLambda * dy - sinLambda * dx) * factor, (cosPhi * dz - sinPhi * along) * factor]
    },
  }
}

const normalAt = (sinPhi: number) => EQUATORIAL_RADIUS / Math.sqrt(1 - ECCENTRICITY_SQUARED * sinPhi * sinPhi)
const meridionalAt = (sinPhi: number) =>
  (EQUATORIAL_RADIUS * (1 - ECCENTRICITY_SQUARED)) / (1 - ECCENTRICITY_SQUARED * sinPhi * sinPhi) ** 1.5

function toCartesian(longitude: number, latitude: number): readonly [number, number, number] {
  const [lambda, phi] = [(longitude * Math.PI) / 180, (latitude * Math.PI) / 180]
  const sinPhi = Math.sin(phi)
  const normal = normalAt(sinPhi)
  const across = normal * Math.cos(phi)
  return [across * Math.cos(lambda), across * Math.sin(lambda), normal * (1 - ECCENTRICITY_SQUARED) * sinPhi]
}
