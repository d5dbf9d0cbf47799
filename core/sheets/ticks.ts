import { findUtmZone } from './frame-wkt.ts'
import type { PageTransform } from './page-transform.ts'

export type Edge = 'top' | 'left' | 'bottom' | 'right'

/** A mark on the map frame with its label; `at` is its place along the edge, points on the page. */
export interface Tick {
  readonly edge: Edge
  readonly at: number
  readonly label: string
  /** The coordinate that it stands for: degrees, or metres of the grid. */
  readonly value: number
}

/** Steps of degrees-and-minutes ticks, in seconds of arc. */
const ARC_STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 18_000, 36_000]

/** Meridians along the top edge and parallels along the left one, at least `spacing` points apart. */
export function degreeTicks(transform: PageTransform, spacing = 100): Tick[] {
  const { frame, ground } = transform
  const [west, south, east, north] = ground
  const along = {
    top: (share: number) => frame.toGlobe(west + share * (east - west), north)[0],
    left: (share: number) => frame.toGlobe(west, north + share * (south - north))[1],
  }
  return (['top', 'left'] as const).flatMap(edge => edgeTicks(transform, edge, along[edge], spacing))
}

function edgeTicks(transform: PageTransform, edge: 'top' | 'left', along: (share: number) => number, spacing: number) {
  const [left, top, right, bottom] = transform.box
  const [start, length] = edge === 'top' ? [left, right - left] : [top, bottom - top]
  const [first, last] = [along(0) * 3600, along(1) * 3600]
  const span = Math.abs(last - first)
  const step = ARC_STEPS.find(seconds => (seconds / span) * length >= spacing) ?? ARC_STEPS.at(-1)!
  const ticks: Tick[] = []
  const [low, high] = [Math.min(first, last), Math.max(first, last)]
  for (let k = Math.ceil(low / step); k * step <= high; k++) {
    const value = (k * step) / 3600
    ticks.push({ edge, at: start + length * shareAt(along, value), label: degreeLabel(k * step, edge), value })
  }
  return ticks.sort((a, b) => a.at - b.at)
}

/** Where along the edge (0-1) the coordinate takes the value; the coordinate runs one way along it. */
function shareAt(along: (share: number) => number, value: number): number {
  const isRising = along(1) > along(0)
  let [low, high] = [0, 1]
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2
    if (along(middle) < value === isRising) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** `45°47′W`, with seconds only where the ticks need them. */
export function degreeLabel(seconds: number, edge: 'top' | 'left'): string {
  const size = Math.round(Math.abs(seconds))
  const [degrees, minutes, rest] = [Math.floor(size / 3600), Math.floor((size % 3600) / 60), size % 60]
  const side = size === 0 ? '' : edge === 'top' ? (seconds < 0 ? 'W' : 'E') : seconds < 0 ? 'S' : 'N'
  const two = (value: number) => String(value).padStart(2, '0')
  return `${degrees}°${two(minutes)}′${rest === 0 ? '' : `${two(rest)}″`}${side}`
}

/** Grid lines of a UTM frame along the bottom (eastings) and right edge (northings); none for another frame. */
export function gridTicks(transform: PageTransform, spacing = 80): Tick[] {
  if (findUtmZone(transform.frame.crs) === null) return []
  const { ground, metresPerPoint } = transform
  const least = spacing * metresPerPoint
  const power = 10 ** Math.floor(Math.log10(least))
  const step = [1, 2, 5, 10].map(k => k * power).find(size => size >= least - 1e-9)!
  const marks = (low: number, high: number) => {
    const values: number[] = []
    for (let k = Math.ceil(low / step); k * step <= high; k++) values.push(k * step)
    return values
  }
  return [
    ...marks(ground[0], ground[2]).map(value => ({
      edge: 'bottom' as const,
      at: transform.toPage(value, ground[1])[0],
      label: `${grouped(value)} E`,
      value,
    })),
    ...marks(ground[1], ground[3]).map(value => ({
      edge: 'right' as const,
      at: transform.toPage(ground[2], value)[1],
      label: `${grouped(value)} N`,
      value,
    })),
  ]
}

/** Digits by threes with a thin gap, as grid coordinates are read. */
const grouped = (value: number): string => String(Math.round(value)).replace(/\B(?=(\d{3})+$)/g, '\u00a0')
