import {
  boxOf,
  createArcsClosing,
  createBoxIndex,
  createGeosClosing,
  isInside,
  measureArea,
  normalPolygons,
  type PolygonEngine,
  planarArea,
  polygonsMeeting,
  toGlobePolygons,
  type WorkingFrame,
} from '../geo/index.ts'
import type {
  Box,
  MultiPolygon,
  OutlineSettings,
  PlainDate,
  Polygon,
  SearchedGround,
  SeasonSightings,
  Task,
  Visit,
} from '../model/index.ts'

/** An area that was searched as a whole, working frame. */
export interface SearchedArea {
  readonly season: string
  readonly planar: MultiPolygon
}

export interface SearchInput {
  /** One a season; their visits lie in the detectable windows. */
  readonly sightings: readonly SeasonSightings[]
  /** Areas of the searched layer, in-window ones only. */
  readonly searchedAreas: readonly SearchedArea[]
  readonly settings: Pick<OutlineSettings, 'searchRadius'>
  /** Programme boundary in the working frame; null: the box round everything searched in any season. */
  readonly boundary: MultiPolygon | null
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
}

/** Segments a quarter circle of a visit's disc: 3 cm at a radius of 25 m. */
const SEGMENTS = 16
/** Segments a quarter circle where exact arcs do not close. */
const FALLBACK_SEGMENTS = 32

/**
 * Ground that people looked at, by season in the order of `sightings`: the discs of visits and the areas of the searched
 * layer. Areas are ellipsoidal; the share is of the boundary (of the box round all seasons' ground without one).
 * A visit without an extent counts with the search radius.
 */
export async function buildSearchedGround(input: SearchInput, task: Task): Promise<SearchedGround[]> {
  const { sightings, engine, frame } = input
  const shapes: MultiPolygon[] = []
  for (const [s, { season, visits }] of sightings.entries()) {
    const areas = input.searchedAreas.filter(area => area.season === season).map(area => area.planar)
    await task.step(s / sightings.length, 'Adding up searched ground')
    const discs = unionDiscs(visits, input)
    shapes.push(uniteWithAreas(discs, areas, engine))
  }
  const study = input.boundary ?? boxShape(boxOf(shapes.flat()))
  const studyArea = planarArea(study)
  return sightings.map(({ season, visits }, s) => ({
    season,
    planar: shapes[s]!,
    area: measureArea(toGlobePolygons(shapes[s]!, frame)),
    visits: visits.length,
    share: studyArea > 0 ? Math.min(1, areaInside(shapes[s]!, study, engine) / studyArea) : 0,
  }))
}

/** Discs that meet no area stand as they are: only the rest need a polygon operation. */
function uniteWithAreas(discs: MultiPolygon, areas: readonly MultiPolygon[], engine: PolygonEngine): MultiPolygon {
  if (areas.length === 0) return discs
  const whole = areas.map(area => (engine.isValid(area) ? area : engine.makeValid(area)))
  const meeting = new Set(polygonsMeeting(discs, whole.flat()))
  const apart = discs.filter(polygon => !meeting.has(polygon))
  return normalPolygons([...apart, ...engine.union([[...meeting], ...whole])])
}

/** Area of the shape inside the study area; polygons that no edge of it comes near lie whole inside or outside. */
function areaInside(shape: MultiPolygon, study: MultiPolygon, engine: PolygonEngine): number {
  const edges = createBoxIndex(edgeBoxes(study))
  const crossing: Polygon[] = []
  let area = 0
  for (const polygon of shape) {
    const box = boxOf([polygon])
    if (box === undefined) continue
    if (edges.search(box).length > 0) crossing.push(polygon)
    else if (isInside(study, polygon[0]![0]!, polygon[0]![1]!)) area += planarArea([polygon])
  }
  return area + (crossing.length === 0 ? 0 : planarArea(engine.intersection(crossing, study)))
}

function edgeBoxes(shape: MultiPolygon): Float64Array {
  const boxes: number[] = []
  for (const ring of shape.flat()) {
    for (let i = 2; i < ring.length; i += 2) {
      const [x1, y1, x2, y2] = [ring[i - 2]!, ring[i - 1]!, ring[i]!, ring[i + 1]!]
      boxes.push(Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2))
    }
  }
  return Float64Array.from(boxes)
}

/** Whether a place lies on searched ground; working frame. */
export const isSearched = (ground: SearchedGround, x: number, y: number): boolean => isInside(ground.planar, x, y)

/** Looks that found nothing on ground with an extent of its own, as the outline's cut-outs take them. */
export function clearGroundOf({ visits }: SeasonSightings): { date: PlainDate; planar: MultiPolygon }[] {
  return visits
    .filter(visit => !visit.isFound && visit.hasExtent && visit.extent > 0)
    .map(visit => ({ date: visit.date, planar: [discPolygon(visit.x, visit.y, visit.extent)] }))
}

/** The discs of visits as one shape. Where their arcs do not close, by polygon operations, to 0.05 % of the area. */
function unionDiscs(
  visits: readonly Visit[],
  { engine, settings }: Pick<SearchInput, 'engine' | 'settings'>,
): MultiPolygon {
  const radiusOf = (visit: Visit): number => (visit.hasExtent ? visit.extent : settings.searchRadius)
  // The order of the reports must not matter.
  const sorted = visits
    .filter(visit => radiusOf(visit) > 0)
    .sort((a, b) => a.x - b.x || a.y - b.y || radiusOf(a) - radiusOf(b))
  const discs = {
    x: Float64Array.from(sorted, visit => visit.x),
    y: Float64Array.from(sorted, visit => visit.y),
    r: Float64Array.from(sorted, radiusOf),
  }
  const closing = createArcsClosing(createGeosClosing(engine, FALLBACK_SEGMENTS), () => undefined)
  const { shape } = closing.close(discs, { half: 0, minimumHole: 0 })
  return engine.isValid(shape) ? shape : engine.makeValid(shape)
}

/** A circle as a polygon of its own area. */
function discPolygon(x: number, y: number, radius: number): Polygon {
  const count = 4 * SEGMENTS
  const angle = (2 * Math.PI) / count
  const reach = radius * Math.sqrt(angle / Math.sin(angle))
  const ring = new Float64Array(2 * (count + 1))
  for (let k = 0; k <= count; k++) {
    ring[2 * k] = x + reach * Math.cos((k % count) * angle)
    ring[2 * k + 1] = y + reach * Math.sin((k % count) * angle)
  }
  return [ring]
}

function boxShape(box: Box | undefined): MultiPolygon {
  if (box === undefined) return []
  const [west, south, east, north] = box
  return [[Float64Array.of(west, south, east, south, east, north, west, north, west, south)]]
}
