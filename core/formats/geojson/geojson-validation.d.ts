/** The part of geojson-validation that is used; its own types are not shipped. */
declare module 'geojson-validation' {
  /** With `trace` the list of faults (empty where there is none, true where it has nothing to list). */
  export function isGeometryObject(geometry: unknown, trace: true): readonly string[] | true
}
