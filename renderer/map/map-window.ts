import type { Map as MapLibreMap } from 'maplibre-gl'

/** What the map shows now, in numbers, for the frame and the scale bar. */
export interface MapWindow {
  readonly width: number
  readonly height: number
  readonly west: number
  readonly east: number
  readonly south: number
  readonly north: number
  /** Ground metres in a CSS pixel at the middle. */
  readonly metresPerPixel: number
  readonly project: (longitude: number, latitude: number) => readonly [x: number, y: number]
}

/** Circumference of the WGS 84 equator in metres, over 512-pixel tiles. */
const EQUATOR = 40_075_016.686

export function windowOfMap(map: MapLibreMap): MapWindow {
  const canvas = map.getCanvas()
  const bounds = map.getBounds()
  const latitude = map.getCenter().lat
  return {
    width: canvas.clientWidth,
    height: canvas.clientHeight,
    west: bounds.getWest(),
    east: bounds.getEast(),
    south: bounds.getSouth(),
    north: bounds.getNorth(),
    metresPerPixel: (EQUATOR * Math.cos((latitude * Math.PI) / 180)) / (512 * 2 ** map.getZoom()),
    project: (longitude, lat) => {
      const { x, y } = map.project([longitude, lat])
      return [x, y]
    },
  }
}

/** The largest of 1, 2, 5 x 10^n that is at most `limit`. */
export function roundLengthBelow(limit: number): number {
  const power = 10 ** Math.floor(Math.log10(limit))
  const steps = [5, 2, 1] as const
  return (steps.find(step => step * power <= limit) ?? 1) * power
}
