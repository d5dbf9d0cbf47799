import { columnValue, findColumn, type Layer, multiPolygonOf } from '../geo/index.ts'
import {
  type DownstreamAnswer,
  LOOK_ORDER,
  type LoadOnReaches,
  type LookOrder,
  type MultiPolygon,
  type ParcelAtRisk,
  type ReachNetwork,
  type Task,
} from '../model/index.ts'
import { createReachIndex, type ReachIndex } from '../network/index.ts'
import { findBankBeside } from './bank-beside.ts'

/** What the outlines say of one parcel. */
export interface ParcelFinds {
  readonly status: 'infested' | 'near'
  readonly confirmedFinds: number
  readonly patchArea: number
}

export interface ParcelsInput {
  /** Polygons in degrees. */
  readonly parcels: Layer
  /** Column of the parcel's id; absent or blank: the row. */
  readonly idField?: string
  readonly network: ReachNetwork
  readonly answer: DownstreamAnswer
  /** Water within this distance of a parcel is its bank, metres. */
  readonly bank: number
  /** Infested and near parcels, by feature of the layer. */
  readonly finds: ReadonlyMap<number, ParcelFinds>
}

/**
 * Parcels that somebody should know about: infested, near, and those with bank to look at first or next in ordinary flow or flood.
 * Sorted by status, order of looking, chance of arrival (largest first) and row. Cost: the parcels beside such reaches alone are measured.
 */
export async function findParcelsAtRisk(input: ParcelsInput, task: Task): Promise<ParcelAtRisk[]> {
  const index = createReachIndex(input.network)
  const id = input.idField === undefined ? undefined : findColumn(input.parcels, input.idField)
  const found: { parcel: ParcelAtRisk; feature: number }[] = []
  for (let feature = 0; feature < input.parcels.featureCount; feature++) {
    if (feature % 500 === 0) await task.step(feature / input.parcels.featureCount, 'Finding parcels to warn')
    const finds = input.finds.get(feature)
    const outline = multiPolygonOf(input.parcels, feature)
    if (finds === undefined && !hasLookNear(index, input, outline)) continue
    const water = summariseBank(index, input, outline)
    if (finds === undefined && !isToLook(water.look) && !isToLook(water.floodLook)) continue
    const named = id === undefined ? null : columnValue(id, feature)
    const parcelId = named === null || named === '' ? String(input.parcels.rows[feature] ?? feature + 1) : String(named)
    const parcel: ParcelAtRisk = {
      parcelId,
      status: finds?.status ?? 'downstream',
      confirmedFinds: finds?.confirmedFinds ?? 0,
      patchArea: finds?.patchArea ?? 0,
      ...water,
    }
    found.push({ parcel, feature })
  }
  return found.sort((a, b) => compareParcels(a.parcel, b.parcel) || a.feature - b.feature).map(({ parcel }) => parcel)
}

const STATUS_ORDER = ['infested', 'near', 'downstream'] as const
const SORTED_LOOKS: readonly LookOrder[] = ['first', 'next', 'low', 'none']

const isToLook = (look: LookOrder) => look === 'first' || look === 'next'

function compareParcels(a: ParcelAtRisk, b: ParcelAtRisk): number {
  return (
    STATUS_ORDER.indexOf(a.status) - STATUS_ORDER.indexOf(b.status) ||
    SORTED_LOOKS.indexOf(a.look) - SORTED_LOOKS.indexOf(b.look) ||
    SORTED_LOOKS.indexOf(a.floodLook) - SORTED_LOOKS.indexOf(b.floodLook) ||
    b.arrivalChance - a.arrivalChance
  )
}

/** A cheap look at boxes before anything is measured. */
function hasLookNear(index: ReachIndex, { answer, bank }: ParcelsInput, outline: MultiPolygon): boolean {
  const near = reachesInBounds(index, outline, bank)
  return near.some(r => isToLook(lookOf(answer.ordinary.look, r)) || isToLook(lookOf(answer.flood.look, r)))
}

const lookOf = (look: Uint8Array, reach: number): LookOrder => LOOK_ORDER[look[reach]!] ?? 'none'

function reachesInBounds(index: ReachIndex, outline: MultiPolygon, bank: number): number[] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const [ring] of outline) {
    for (let i = 0; ring !== undefined && i < ring.length; i += 2) {
      west = Math.min(west, ring[i]!)
      east = Math.max(east, ring[i]!)
      south = Math.min(south, ring[i + 1]!)
      north = Math.max(north, ring[i + 1]!)
    }
  }
  if (!(west <= east)) return []
  const dy = bank / 110_500
  const dx = dy / Math.max(0.01, Math.cos((Math.max(Math.abs(south), Math.abs(north)) * Math.PI) / 180))
  return index.findInBox(west - dx, south - dy, east + dx, north + dy)
}

type ParcelWater = Pick<ParcelAtRisk, 'bankLength' | 'look' | 'floodLook' | 'arrivalChance' | 'mainSource' | 'sources'>

/** Bank, order of looking, chance and main source over the stretches of water inside a parcel or beside it. */
function summariseBank(index: ReachIndex, input: ParcelsInput, outline: MultiPolygon): ParcelWater {
  const { network, answer, bank } = input
  const { ordinary, flood } = answer
  let [bankLength, missChance, deposit] = [0, 1, 0]
  const looks: LookOrder[] = []
  const floodLooks: LookOrder[] = []
  const bySource = new Map<number, number>()
  for (const { reach, length } of findBankBeside(index, outline, bank)) {
    bankLength += length
    looks.push(lookOf(ordinary.look, reach))
    floodLooks.push(lookOf(flood.look, reach))
    const part = Math.min(1, length / network.length[reach]!)
    missChance *= (1 - ordinary.arrivalChance[reach]!) ** part
    deposit += ordinary.deposit[reach]! * part
    for (const { patch, share } of sharesOf(ordinary, reach)) {
      bySource.set(patch, (bySource.get(patch) ?? 0) + ordinary.deposit[reach]! * part * share)
    }
  }
  const sources = [...bySource].sort((a, b) => b[1] - a[1] || a[0] - b[0])
  const [main] = sources
  return {
    bankLength,
    look: SORTED_LOOKS.find(look => looks.includes(look)) ?? 'none',
    floodLook: SORTED_LOOKS.find(look => floodLooks.includes(look)) ?? 'none',
    arrivalChance: 1 - missChance,
    mainSource: main === undefined ? null : answer.patchIds[main[0]]!,
    sources: sources
      .slice(0, KEPT_SOURCES)
      .map(([patch, laid]) => ({ patchId: answer.patchIds[patch]!, share: laid / deposit })),
  }
}

/** Sources of a parcel that are told apart. */
const KEPT_SOURCES = 8

/** Patches and their shares on a reach; the main one alone where no more was kept. */
function sharesOf(load: LoadOnReaches, reach: number): { patch: number; share: number }[] {
  if (load.sources === undefined) {
    const patch = load.mainSource[reach]!
    return patch < 0 ? [] : [{ patch, share: load.mainSourceShare[reach]! }]
  }
  const { offsets, patch, share } = load.sources
  const kept: { patch: number; share: number }[] = []
  for (let i = offsets[reach]!; i < offsets[reach + 1]!; i++) kept.push({ patch: patch[i]!, share: share[i]! })
  return kept
}
