import {
  boxOf,
  type ClosingEngine,
  type PolygonEngine,
  planarArea,
  toGlobePolygons,
  type WorkingFrame,
} from '../geo/index.ts'
import {
  type Interval,
  type MultiPolygon,
  type OutlineSettings,
  type Patch,
  type PlainDate,
  type SeasonSightings,
  type SquareMetres,
  squareMetres,
  type Task,
} from '../model/index.ts'
import { measureCanopy } from './canopy.ts'
import type { ClearGroundFinder } from './clear-ground.ts'
import { outlineByDensity } from './density.ts'
import { circlesOf, type Disc } from './discs.ts'
import type { JoinBreaks } from './join-breaks.ts'
import { estimateAreaRatios } from './position-error.ts'
import { type DroppedGround, dropSmallGround } from './small-ground.ts'

export interface PatchInput {
  readonly discs: readonly Disc[]
  readonly closing: ClosingEngine
  readonly sightings: SeasonSightings
  readonly settings: OutlineSettings
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
  readonly findClearGround: ClearGroundFinder
  readonly breaks: JoinBreaks | null
  readonly isComputingIntervals: boolean
  /** Area on the ellipsoid of a shape in the frame. */
  readonly areaOf: (shape: MultiPolygon) => SquareMetres
  readonly onDropped: (ground: DroppedGround) => void
}

/** One patch from its discs, without its final id; null where all of it was searched later and found clear, or is too small. */
export async function outlinePatch(input: PatchInput, task: Task): Promise<Patch | null> {
  const { discs, closing, engine, frame, settings, sightings } = input
  const drawn = drawShapes(input, task)
  const cut = clearedGround(input, drawn.gross)
  const plants = subtract(engine, drawn.infested, cut)
  // Arcs of the outline and of the discs are drawn apart, by centimetres; where ground is cut out the one must still hold the other.
  const left = cut.length === 0 ? drawn.gross : engine.union([engine.difference(drawn.gross, cut), plants])
  if (left.length === 0) return null
  const { gross, infested } = dropSmallGround({ gross: left, infested: plants }, input)
  if (gross.length === 0) return null
  const outline = toGlobePolygons(gross, frame)
  const [grossArea, grossPlanar] = [input.areaOf(gross), planarArea(gross)]
  const infestedArea = infested === gross ? grossArea : squareMetres(Math.min(grossArea, input.areaOf(infested)))
  const shares = measureShares(input, cut, { gross: grossPlanar, infested: planarArea(infested) })
  const canopy = measureCanopy(discs, cut, { closing, engine })
  const infestedPlanarArea = planarArea(infested)
  const toGlobe = infestedPlanarArea > 0 ? infestedArea / infestedPlanarArea : 0
  const ratios =
    input.isComputingIntervals && settings.method !== 'density'
      ? await estimateAreaRatios(
          discs,
          { closing, half: halfOf(settings), draws: settings.draws, seed: settings.seed },
          task,
        )
      : null
  const finds = discs.flatMap(disc => disc.finds)
  const dates = finds.map(find => find.date).sort()
  return {
    season: sightings.season,
    id: '',
    reportIds: finds.map(find => find.reportId).sort(),
    planar: gross,
    outline,
    infestedPlanar: infested,
    grossArea: squareMetres(grossArea),
    infestedArea,
    netCanopy: canopy.knownArea > 0 ? squareMetres(canopy.netArea * toGlobe) : null,
    coverKnownShare: infestedPlanarArea > 0 ? Math.min(1, canopy.knownArea / infestedPlanarArea) : 0,
    ...shares,
    grossInterval: ratios && scaled(ratios.gross, grossArea),
    infestedInterval: ratios && scaled(ratios.infested, infestedArea),
    firstSeen: dates[0]!,
    lastSeen: dates.at(-1)!,
    isConfirmed: finds.some(find => find.isConfirmed),
  }
}

/** By how much discs are grown and shrunk: plain discs are not joined by infill. */
const halfOf = ({ method, join }: OutlineSettings): number => (method === 'discs' ? 0 : join / 2)

const scaled = ({ low, high }: Interval, area: number): Interval => ({ low: low * area, high: high * area })

interface Shapes {
  readonly gross: MultiPolygon
  readonly infested: MultiPolygon
}

/** The outline by the chosen method and the union of the discs, valid, before any ground is cut out. */
function drawShapes({ discs, closing, settings, engine, breaks, sightings }: PatchInput, task: Task): Shapes {
  const circles = circlesOf(discs)
  const closed = closing.close(circles, { half: halfOf(settings), minimumHole: settings.minimumHole })
  if (closed.emptyParts > 0) {
    task.warn(
      'outline-part-without-find',
      `Season ${sightings.season}: ${closed.emptyParts} part(s) of an outline held no find and were left out.`,
    )
  }
  const infested = valid(engine, closing.close(circles, { half: 0, minimumHole: 0 }).shape, discs.length)
  if (discs.length === 1) return { gross: infested, infested }
  const gross =
    settings.method === 'density'
      ? outlineByDensity(discs, infested, { settings, engine })
      : valid(engine, closed.shape, discs.length)
  const box = boxOf(gross)
  const crossing = breaks === null || box === undefined ? [] : breaks.within(box)
  if (crossing.length === 0) return { gross, infested }
  // Infill does not lie over a break; the discs themselves stand as reported.
  return { gross: engine.difference(gross, engine.difference(crossing, infested)), infested }
}

/** A lone disc is valid by construction; narrow necks may cross themselves once their arcs are drawn as lines. */
const valid = (engine: PolygonEngine, shape: MultiPolygon, discs: number): MultiPolygon =>
  discs === 1 || engine.isValid(shape) ? shape : engine.makeValid(shape)

/** Ground of the patch that was searched and found clear after every find there. */
function clearedGround({ discs, closing, engine, findClearGround }: PatchInput, gross: MultiPolygon): MultiPolygon {
  const box = boxOf(gross)
  if (box === undefined) return []
  const byDate = new Map<PlainDate, MultiPolygon[]>()
  for (const { date, planar } of findClearGround(box)) {
    const same = byDate.get(date)
    if (same) same.push(planar)
    else byDate.set(date, [planar])
  }
  const cuts = [...byDate].map(([date, ground]) => {
    const later = discs.filter(disc => disc.finds[0]!.date >= date)
    const kept = later.length === 0 ? [] : closing.close(circlesOf(later), { half: 0, minimumHole: 0 }).shape
    return subtract(engine, engine.union(ground), kept)
  })
  return cuts.length === 0 ? [] : engine.union(cuts)
}

const subtract = (engine: PolygonEngine, shape: MultiPolygon, cut: MultiPolygon): MultiPolygon =>
  cut.length === 0 ? shape : engine.difference(shape, cut)

type Shares = Pick<Patch, 'measuredShare' | 'defaultShare' | 'infillShare'>

/** Shares of gross; where a measured disc and a default one overlap, measured wins. The three sum to 1. */
function measureShares(
  { discs, closing, engine }: PatchInput,
  cut: MultiPolygon,
  areas: { readonly gross: number; readonly infested: number },
): Shares {
  const measured = discs.filter(disc => disc.finds.some(find => find.isMeasured))
  let measuredArea = 0
  if (measured.length === discs.length) measuredArea = areas.infested
  else if (measured.length > 0 && cut.length === 0) measuredArea = closing.closedArea(circlesOf(measured), 0)
  else if (measured.length > 0) {
    const shape = closing.close(circlesOf(measured), { half: 0, minimumHole: 0 }).shape
    measuredArea = planarArea(engine.difference(shape, cut))
  }
  const infestedShare = Math.min(1, areas.infested / areas.gross)
  const measuredShare = Math.min(infestedShare, measuredArea / areas.gross)
  return { measuredShare, defaultShare: infestedShare - measuredShare, infillShare: 1 - infestedShare }
}
