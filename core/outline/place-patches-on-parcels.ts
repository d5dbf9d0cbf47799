import {
  boxOf,
  createAreaScale,
  createBoxIndex,
  distanceToBoundary,
  isInside,
  isPlainlySimple,
  type Layer,
  multiPolygonOf,
  type PolygonEngine,
  prepareOverlap,
  toPlanePolygons,
  type WorkingFrame,
} from '../geo/index.ts'
import {
  type Box,
  type Find,
  type MultiPolygon,
  type Patch,
  type SquareMetres,
  squareMetres,
  type Task,
} from '../model/index.ts'

export interface ParcelInput {
  /** Polygons in degrees, WGS 84. */
  readonly parcels: Layer
  readonly patches: readonly Patch[]
  /** All finds of the season, those without area too. */
  readonly finds: readonly Find[]
  readonly frame: WorkingFrame
  readonly engine: PolygonEngine
  /** Vertices of the parcels in degrees where the layer itself is in another system. */
  readonly coordinates?: Float64Array
}

export interface ParcelPlacement {
  /** Feature of the parcel layer. */
  readonly parcel: number
  readonly status: 'infested' | 'near'
  /** Confirmed plants whose 95 % circle lies within the parcel. */
  readonly confirmedFinds: number
  /** Gross patch area within the parcel, ellipsoidal. */
  readonly patchArea: SquareMetres
}

/**
 * Parcels that are infested or near, in the order of the layer. Infested: the 95 % circle of a confirmed plant, with an
 * accuracy that was given, lies within it. Near: the 95 % circle of a find, or an outline, touches it.
 * Accuracy and cost: areas to 1e-8; an index over all parcels, then only what a circle or an outline comes close to.
 */
export async function placePatchesOnParcels(
  input: ParcelInput,
  task: Task,
): Promise<{ byParcel: readonly ParcelPlacement[] }> {
  const layer = onGlobe(input)
  await task.step(0, 'Indexing parcels')
  const index = createBoxIndex(parcelBoxes(layer))
  const candidates = new Map<number, Candidate>()
  const candidate = (parcel: number): Candidate => {
    const known = candidates.get(parcel)
    if (known) return known
    const fresh = { patches: [], finds: [] }
    candidates.set(parcel, fresh)
    return fresh
  }
  for (const patch of input.patches) {
    const box = boxOf(patch.outline)
    if (box) for (const parcel of index.search(box)) candidate(parcel).patches.push(patch)
  }
  for (const find of input.finds) {
    for (const parcel of index.search(circleBox(find, input.frame))) candidate(parcel).finds.push(find)
  }
  const ordered = [...candidates.entries()].sort((a, b) => a[0] - b[0])
  const byParcel: ParcelPlacement[] = []
  const areaWithin = createSharedArea(input)
  for (const [i, [parcel, near]] of ordered.entries()) {
    if (i % STEP_EVERY === 0) await task.step(i / ordered.length, 'Placing patches on parcels')
    const placing = placeParcel(parcel, toPlanePolygons(multiPolygonOf(layer, parcel), input.frame), {
      near,
      areaWithin,
    })
    if (placing !== null) byParcel.push(placing)
  }
  return { byParcel }
}

/** Parcels between two steps of the task. */
const STEP_EVERY = 100
/** Ground shared by less than this is a touch, square metres. */
const LEAST_OVERLAP = 1e-3

interface Candidate {
  readonly patches: Patch[]
  readonly finds: Find[]
}

const onGlobe = ({ parcels, coordinates }: ParcelInput): Layer =>
  coordinates === undefined ? parcels : { ...parcels, geometry: { ...parcels.geometry, coords: coordinates } }

function placeParcel(
  parcel: number,
  shape: MultiPolygon,
  { near, areaWithin }: { near: Candidate; areaWithin: SharedArea },
): ParcelPlacement | null {
  let confirmedFinds = 0
  let isTouched = false
  for (const find of near.finds) {
    const isIn = isInside(shape, find.x, find.y)
    const distance = distanceToBoundary(shape, find.x, find.y)
    if (isIn || distance <= find.accuracy95) isTouched = true
    if (isIn && distance >= find.accuracy95 && find.isConfirmed && find.hasAccuracy) confirmedFinds++
  }
  let area = 0
  if (near.patches.length > 0) area = areaWithin(shape, near.patches)
  if (area > LEAST_OVERLAP) isTouched = true
  if (!isTouched) return null
  return { parcel, status: confirmedFinds > 0 ? 'infested' : 'near', confirmedFinds, patchArea: squareMetres(area) }
}

/** Ellipsoidal area that a shape shares with patches, each patch counted by itself. */
type SharedArea = (shape: MultiPolygon, patches: readonly Patch[]) => number

function createSharedArea({ frame, engine }: ParcelInput): SharedArea {
  const scaleAt = createAreaScale(frame)
  const prepared = new Map<Patch, ReturnType<typeof prepareOverlap>>()
  return (shape, patches) => {
    const sound = repaired(engine, shape)
    let area = 0
    for (const patch of patches) {
      const overlapWith = prepared.get(patch) ?? prepareOverlap(patch.planar)
      prepared.set(patch, overlapWith)
      const shared = overlapWith(sound)
      if (shared.area > 0) area += shared.area * scaleAt(shared.x, shared.y)
    }
    return area
  }
}

/** Parcels come as drawn; a ring that crosses itself would count some of its ground twice. */
const repaired = (engine: PolygonEngine, shape: MultiPolygon): MultiPolygon =>
  isPlainlySimple(shape) || engine.isValid(shape) ? shape : engine.makeValid(shape)

/** Box of every feature in degrees; empty (NaN) for one without polygons. */
function parcelBoxes({ geometry, featureCount }: Layer): Float64Array {
  const boxes = new Float64Array(4 * featureCount).fill(Number.NaN)
  const { coords, rings, parts, features } = geometry
  for (let feature = 0; feature < featureCount; feature++) {
    const [first, last] = [rings[parts[features[feature]!]!]!, rings[parts[features[feature + 1]!]!]!]
    if (last === first) continue
    let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
    for (let i = 2 * first; i < 2 * last; i += 2) {
      west = Math.min(west, coords[i]!)
      east = Math.max(east, coords[i]!)
      south = Math.min(south, coords[i + 1]!)
      north = Math.max(north, coords[i + 1]!)
    }
    boxes.set([west, south, east, north], 4 * feature)
  }
  return boxes
}

/** Box in degrees round a find's 95 % circle, a little wide for the turn of the frame. */
function circleBox({ x, y, accuracy95 }: Find, frame: WorkingFrame): Box {
  const reach = accuracy95 * 1.5 + 1
  const corners = [-reach, reach].flatMap(dx => [-reach, reach].map(dy => frame.toGlobe(x + dx, y + dy)))
  const [longitudes, latitudes] = [corners.map(corner => corner[0]), corners.map(corner => corner[1])]
  return [Math.min(...longitudes), Math.min(...latitudes), Math.max(...longitudes), Math.max(...latitudes)]
}
