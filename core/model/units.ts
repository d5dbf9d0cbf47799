/**
 * Units by type: a plain number cannot be handed in where metres are asked for.
 * Degrees stand at the doors of the program, radians inside formulas; longitude comes before latitude.
 */
declare const metresBrand: unique symbol
declare const squareMetresBrand: unique symbol
declare const degreesBrand: unique symbol
declare const radiansBrand: unique symbol
declare const daysBrand: unique symbol

export type Metres = number & { readonly [metresBrand]: true }
export type SquareMetres = number & { readonly [squareMetresBrand]: true }
export type Degrees = number & { readonly [degreesBrand]: true }
export type Radians = number & { readonly [radiansBrand]: true }
export type Days = number & { readonly [daysBrand]: true }

export const metres = (value: number): Metres => value as Metres
export const squareMetres = (value: number): SquareMetres => value as SquareMetres
export const degrees = (value: number): Degrees => value as Degrees
export const radians = (value: number): Radians => value as Radians
export const days = (value: number): Days => value as Days

export const toRadians = (angle: Degrees): Radians => radians((angle * Math.PI) / 180)
export const toDegrees = (angle: Radians): Degrees => degrees((angle * 180) / Math.PI)

/** A place on the WGS 84 ellipsoid. */
export type Position = readonly [longitude: number, latitude: number]

/** Square metres in one international acre. Source: NIST Special Publication 811 (2008), appendix B.8. */
export const SQUARE_METRES_PER_ACRE = 4046.8564224
/** Metres in one international foot (exact). Source: NIST Special Publication 811 (2008), appendix B.8. */
export const METRES_PER_FOOT = 0.3048
/** Metres in one statute mile (exact). Source: NIST Special Publication 811 (2008), appendix B.8. */
export const METRES_PER_MILE = 1609.344
