/** The part of proj4 2.22.0 that is used here. */
declare module 'proj4' {
  interface Point {
    x: number
    y: number
  }
  /** One projection without any datum: radians on the globe, metres in the plane; the point given is overwritten. */
  interface Projection {
    forward(point: Point): Point | undefined
    inverse(point: Point): Point | undefined
  }
  const proj4: { Proj: new (text: string) => Projection }
  export default proj4
}
