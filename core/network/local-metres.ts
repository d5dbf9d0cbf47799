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

/** Latitudes that radii are computed at, degrees apart; between them they are followed by their first terms. */
const LATITUDE_STEP = 0.01
const STEEPEST = 85
const RADIANS = Math.PI / 180

/**
 * `localMetresAt` for very many places: the same to 1e-11 of the value, at a fraction of the cost.
 * What it gives depends on the latitude alone, never on what was asked before.
 */
export class LocalScale implements LocalMetres {
  #base = Number.NaN
  #across = 0
  #acrossSlope = 0
  #acrossBend = 0
  #acrossTwist = 0
  #up = 0
  #upSlope = 0
  #upBend = 0
  x = 0
  y = 0

  /** Sets `x` and `y` for a latitude. */
  moveTo(latitude: number): void {
    let off = latitude - this.#base
    if (!(off <= LATITUDE_STEP / 2 && off > -LATITUDE_STEP / 2)) {
      const base = -Math.round(-latitude / LATITUDE_STEP) * LATITUDE_STEP
      if (base !== this.#base) this.#setBase(base)
      off = latitude - base
    }
    if (latitude > STEEPEST || latitude < -STEEPEST) {
      const { x, y } = localMetresAt(latitude)
      this.x = x
      this.y = y
      return
    }
    this.x = this.#across + off * (this.#acrossSlope + off * (this.#acrossBend + off * this.#acrossTwist))
    this.y = this.#up + off * (this.#upSlope + off * this.#upBend)
  }

  #setBase(latitude: number): void {
    const { x, y } = localMetresAt(latitude)
    const sine = Math.sin(latitude * RADIANS)
    const cosine = Math.cos(latitude * RADIANS)
    // With w = 1 - e2 sin2: d(N cos) / dphi = -M sin and dM / dphi = 3 e2 sin cos M / w; higher terms to what is wanted.
    const w = 1 - ECCENTRICITY_SQUARED * sine * sine
    const change = (3 * ECCENTRICITY_SQUARED * sine * cosine) / w
    this.#base = latitude
    this.#across = x
    this.#acrossSlope = -y * sine * RADIANS
    this.#acrossBend = (-y * (cosine + change * sine) * RADIANS * RADIANS) / 2
    this.#acrossTwist = (y * sine * RADIANS ** 3) / 6
    this.#up = y
    this.#upSlope = change * y * RADIANS
    this.#upBend = (3 * ECCENTRICITY_SQUARED * (cosine * cosine - sine * sine) * y * RADIANS * RADIANS) / 2
  }
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
