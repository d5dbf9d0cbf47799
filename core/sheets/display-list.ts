import type { Hatch } from '../model/symbols.ts'

/**
 * A page as plain drawing operators in points (1/72 inch), x to the right and y down from the top left corner.
 * PDF and SVG are written from the same list, so that they cannot differ.
 */
export interface DisplayList {
  readonly title: string
  /** One sentence for a reader who cannot see the map. */
  readonly description: string
  /** `YYYY-MM-DD`; stands as the date of the file, so that the same data give the same bytes. */
  readonly date: string
  readonly language: string
  readonly pages: readonly SheetPage[]
}

export interface SheetPage {
  readonly width: number
  readonly height: number
  readonly items: readonly Operator[]
  readonly georeference: Georeference | null
}

/** What ties a rectangle of the page to the ground (ISO 32000-2, 12.10). */
export interface Georeference {
  readonly name: string
  /** Left, top, right, bottom in points, y down. */
  readonly box: Rect
  readonly epsg: number | null
  readonly wkt: string
  /** Latitude, longitude of the corners: top left, bottom left, bottom right, top right. */
  readonly corners: readonly (readonly [latitude: number, longitude: number])[]
}

export type Rect = readonly [left: number, top: number, right: number, bottom: number]

export const FONT_FACES = ['sans', 'sans-bold', 'sans-italic', 'serif-bold'] as const
export type FontFace = (typeof FONT_FACES)[number]

export type Operator = PathOperator | TextOperator | GroupOperator

/** A hatch as ink on nothing: what lies below stays readable. Points. */
export interface HatchFill {
  readonly hatch: Exclude<Hatch, 'none'>
  readonly colour: string
  /** Distance between lines or dots, and line width or dot diameter. */
  readonly gap: number
  readonly weight: number
}

export interface Stroke {
  readonly colour: string
  readonly width: number
  readonly dash?: readonly number[]
  readonly cap?: 'butt' | 'round'
}

export interface PathOperator {
  readonly op: 'path'
  /** Each x0, y0, x1, y1 ...; filled by the even-odd rule. */
  readonly lines: readonly Float64Array[]
  readonly isClosed: boolean
  readonly fill?: string | HatchFill
  readonly stroke?: Stroke
}

export interface TextOperator {
  readonly op: 'text'
  readonly text: string
  /** Where the baseline starts, is centred or ends. */
  readonly x: number
  readonly y: number
  readonly align: 'start' | 'middle' | 'end'
  readonly face: FontFace
  readonly size: number
  readonly colour: string
  /** Degrees, clockwise on the page, about (x, y). */
  readonly angle?: number
  /** Colour of a rim that parts the letters from what lies below. */
  readonly halo?: string
}

/** What a group is to a reader who cannot see the page; headings, paragraphs, figures and tables. */
export interface SheetTag {
  readonly role: 'H1' | 'H2' | 'P' | 'Figure' | 'Table' | 'TR' | 'TH' | 'TD'
  /** Words in place of a figure. */
  readonly alt?: string
}

export interface GroupOperator {
  readonly op: 'group'
  readonly tag?: SheetTag
  /** Name of the layer that a viewer may switch. */
  readonly layer?: string
  readonly clip?: Rect
  readonly items: readonly Operator[]
}

/** All operators of a list in drawing order, groups opened. */
export function* flatten(items: readonly Operator[]): Generator<PathOperator | TextOperator> {
  for (const item of items) {
    if (item.op === 'group') yield* flatten(item.items)
    else yield item
  }
}

/** A closed rectangle as a path's line. */
export const rectLine = ([left, top, right, bottom]: Rect): Float64Array =>
  Float64Array.of(left, top, right, top, right, bottom, left, bottom)

export function rectPath(rect: Rect, look: Pick<PathOperator, 'fill' | 'stroke'>): PathOperator {
  return { op: 'path', lines: [rectLine(rect)], isClosed: true, ...look }
}

/** Items as one thing of the page's structure. */
export const taggedAs = (role: SheetTag['role'], items: readonly Operator[], alt?: string): GroupOperator => ({
  op: 'group',
  tag: { role, ...(alt === undefined ? {} : { alt }) },
  items,
})

export function linePath(points: readonly number[], stroke: Stroke): PathOperator {
  return { op: 'path', lines: [Float64Array.from(points)], isClosed: false, stroke }
}
