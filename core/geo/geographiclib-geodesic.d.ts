/** The part of geographiclib-geodesic 2.2.0 that is used here; angles in degrees, lengths in metres. */
declare module 'geographiclib-geodesic' {
  interface GeodesicPolygon {
    AddPoint(latitude: number, longitude: number): void
    /** Area is positive for a counter-clockwise ring when `reverse` is false and `sign` true. */
    Compute(reverse: boolean, sign: boolean): { number: number; perimeter: number; area?: number }
  }
  interface GeodesicSolver {
    Inverse(
      lat1: number,
      lon1: number,
      lat2: number,
      lon2: number,
      outmask?: number,
    ): { s12?: number; azi1?: number; azi2?: number }
    Direct(
      lat1: number,
      lon1: number,
      azi1: number,
      s12: number,
      outmask?: number,
    ): { lat2?: number; lon2?: number; azi2?: number }
    Polygon(polyline: boolean): GeodesicPolygon
  }
  const geodesic: {
    Geodesic: { WGS84: GeodesicSolver; DISTANCE: number; AZIMUTH: number; LATITUDE: number; LONGITUDE: number }
  }
  export default geodesic
}
