import { utmFrame } from '../../core/geo/index.ts'
import { type Point, ringArea } from './place.ts'

const frame = utmFrame(-45.8, 35.7)

/** Longitude and latitude of a place, to 1e-7 degree (about a centimetre). */
export function toGlobe(p: Point): [number, number] {
  const [longitude, latitude] = frame.toGlobe(p[0], p[1])
  return [round7(longitude), round7(latitude)]
}

const round7 = (value: number): number => Math.round(value * 1e7) / 1e7

export type Properties = Readonly<Record<string, string | number | boolean | null>>

export interface Feature {
  readonly type: 'Feature'
  readonly properties: Properties
  readonly geometry: { readonly type: string; readonly coordinates: unknown }
}

export const pointFeature = (at: Point, properties: Properties): Feature => ({
  type: 'Feature',
  properties,
  geometry: { type: 'Point', coordinates: toGlobe(at) },
})

export const lineFeature = (line: readonly Point[], properties: Properties): Feature => ({
  type: 'Feature',
  properties,
  geometry: { type: 'LineString', coordinates: line.map(toGlobe) },
})

/** A polygon of rings (outer first), closed and turned as RFC 7946 asks. */
export const polygonFeature = (rings: readonly (readonly Point[])[], properties: Properties): Feature => ({
  type: 'Feature',
  properties,
  geometry: { type: 'Polygon', coordinates: rings.map((ring, i) => turnedRing(ring, i === 0)) },
})

function turnedRing(ring: readonly Point[], isOuter: boolean): [number, number][] {
  const turned = ringArea(ring) > 0 === isOuter ? [...ring] : [...ring].reverse()
  const places = turned.map(toGlobe)
  const [first, last] = [places[0] as [number, number], places[places.length - 1] as [number, number]]
  return first[0] === last[0] && first[1] === last[1] ? places : [...places, first]
}

/** A GeoJSON file with one feature a line. */
export function writeGeoJson(name: string, features: readonly Feature[]): Uint8Array {
  const lines = features.map(feature => JSON.stringify(feature))
  return new TextEncoder().encode(
    `{"type":"FeatureCollection","name":"${name}","features":[\n${lines.join(',\n')}\n]}\n`,
  )
}
