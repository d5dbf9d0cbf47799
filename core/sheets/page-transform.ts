import { gridConvergence, type WorkingFrame } from '../geo/index.ts'
import type { Box } from '../model/geometry.ts'
import type { Georeference, Rect } from './display-list.ts'
import { wktOfFrame } from './frame-wkt.ts'

/** Points in an inch over metres in an inch. */
const POINTS_PER_METRE = 72 / 0.0254

/** Scale denominators that a person can work with, at one to ten times a power of ten. */
const ROUND_SCALES = [1000, 1200, 1500, 2000, 2400, 2500, 3000, 4000, 5000, 6000, 8000]
const ROUND_SCALES_LARGE = [
  10_000, 12_000, 15_000, 18_000, 20_000, 24_000, 25_000, 30_000, 35_000, 40_000, 45_000, 50_000, 60_000, 65_000,
  70_000, 75_000, 80_000, 90_000, 100_000,
]

/**
 * The one affine map between planar metres of a frame and points of a page, north of the grid up.
 * Scale, ticks, bars, convergence and georeference are all read from it.
 */
export interface PageTransform {
  readonly frame: WorkingFrame
  /** The map frame on the page. */
  readonly box: Rect
  readonly scale: number
  readonly metresPerPoint: number
  /** Min x, min y, max x, max y of the map frame, metres. */
  readonly ground: Box
  toPage(x: number, y: number): [px: number, py: number]
  toPlane(px: number, py: number): [x: number, y: number]
  positionToPage(longitude: number, latitude: number): [px: number, py: number]
}

/** The largest round scale at which `extent` (planar metres) fits the box, or the scale asked for. */
export function buildPageTransform(
  frame: WorkingFrame,
  extent: Box,
  box: Rect,
  scale: number = roundScaleFor(extent, box),
): PageTransform {
  const metresPerPoint = scale / POINTS_PER_METRE
  const [left, top, right, bottom] = box
  const [centreX, centreY] = [(extent[0] + extent[2]) / 2, (extent[1] + extent[3]) / 2]
  const [pageX, pageY] = [(left + right) / 2, (top + bottom) / 2]
  const toPage = (x: number, y: number): [number, number] => [
    pageX + (x - centreX) / metresPerPoint,
    pageY - (y - centreY) / metresPerPoint,
  ]
  const toPlane = (px: number, py: number): [number, number] => [
    centreX + (px - pageX) * metresPerPoint,
    centreY - (py - pageY) * metresPerPoint,
  ]
  const [west, north] = toPlane(left, top)
  const [east, south] = toPlane(right, bottom)
  return {
    frame,
    box,
    scale,
    metresPerPoint,
    ground: [west, south, east, north],
    toPage,
    toPlane,
    positionToPage: (longitude, latitude) => toPage(...frame.toPlane(longitude, latitude)),
  }
}

/** Smallest round denominator at which the extent fits; past 1:100,000 the series goes on by powers of ten. */
export function roundScaleFor(extent: Box, box: Rect): number {
  const needed =
    Math.max((extent[2] - extent[0]) / (box[2] - box[0]), (extent[3] - extent[1]) / (box[3] - box[1])) *
    POINTS_PER_METRE
  for (let power = 1; ; power *= 10) {
    const series = power === 1 ? [...ROUND_SCALES, ...ROUND_SCALES_LARGE] : ROUND_SCALES_LARGE
    const found = series.find(scale => scale * power >= needed - 1e-6)
    if (found !== undefined) return found * power
  }
}

/** Corners of the map frame on the ground, for the page's viewport. */
export function georeferenceOf(transform: PageTransform): Georeference {
  const { frame, ground } = transform
  const [west, south, east, north] = ground
  const corners = [
    [west, north],
    [west, south],
    [east, south],
    [east, north],
  ] as const
  const epsg = /^EPSG:(\d+)$/.exec(frame.crs)
  return {
    name: 'Map',
    box: transform.box,
    epsg: epsg === null ? null : Number(epsg[1]),
    wkt: wktOfFrame(frame),
    corners: corners.map(([x, y]) => {
      const [longitude, latitude] = frame.toGlobe(x, y)
      return [latitude, longitude] as const
    }),
  }
}

/** Grid convergence at the middle of the map, degrees: the true bearing of grid north, positive when it lies east of true north. */
export function convergenceOf(transform: PageTransform): number {
  const { frame, ground } = transform
  const [longitude, latitude] = frame.toGlobe((ground[0] + ground[2]) / 2, (ground[1] + ground[3]) / 2)
  return gridConvergence(frame, longitude, latitude)
}
