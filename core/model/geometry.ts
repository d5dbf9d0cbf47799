/**
 * Geometry as plain data, in whichever frame its name tells: degrees (longitude, latitude) or planar metres (x, y).
 */

/** A closed ring: x0, y0, x1, y1 ... with the first point repeated at the end. */
export type Ring = Float64Array
/** Outer ring first (counter-clockwise), then its holes (clockwise). */
export type Polygon = readonly Ring[]
export type MultiPolygon = readonly Polygon[]
/** An open path: x0, y0, x1, y1 ... */
export type Path = Float64Array
export type MultiPath = readonly Path[]

/** West, south, east, north (or min x, min y, max x, max y). On the globe, west > east when it crosses the antimeridian. */
export type Box = readonly [west: number, south: number, east: number, north: number]
