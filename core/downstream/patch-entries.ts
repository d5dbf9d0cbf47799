import type { MultiPolygon, Patch, PatchLoad } from '../model/index.ts'
import type { FlowGraph, ReachIndex } from '../network/index.ts'
import type { Entries } from './load-model.ts'
import { findReachesNear, isOverlapping, type PatchReach } from './patch-water.ts'

/** A patch inside the flood extent that no water lies this near to, metres, sheds into none. Common practice, no source. */
const FLOOD_REACH = 5000

/** Where one patch may shed, before anything is known of how much. */
export interface PatchShedding {
  /** Distance that the load falls off over, metres. */
  readonly distance: number
  /** Places on reaches, with the length of a crossing or the distance from the bank that they share the load by. */
  readonly places: readonly SheddingPlace[]
  readonly isCrossing: boolean
}

interface SheddingPlace {
  readonly reach: number
  readonly fraction: number
  readonly distance: number
  readonly length: number
}

/** What a patch sheds: square metres infested x propagules a square metre, over a bank scale in metres. */
export interface SheddingRule {
  readonly propagules: number
  readonly bankScale: number
}

/** Where each patch sheds in ordinary flow; null for a patch away from water. Definition 3.9. */
export function findShedding(index: ReachIndex, patches: readonly Patch[], bank: number): (PatchShedding | null)[] {
  return patches.map(({ outline }) => sheddingOf(findReachesNear(index, outline, bank), 0))
}

/** Where each patch sheds in a flood: one that shares ground with the flood extent sheds with distance 0, others as in ordinary flow. */
export function findFloodShedding(
  index: ReachIndex,
  patches: readonly Patch[],
  ordinary: readonly (PatchShedding | null)[],
  bank: number,
  flood: MultiPolygon,
): (PatchShedding | null)[] {
  return patches.map(({ outline }, i) => {
    if (!isOverlapping(outline, flood)) return ordinary[i]!
    const known = ordinary[i] ?? widenToWater(index, outline, bank)
    return known === null ? null : { ...known, distance: 0 }
  })
}

function widenToWater(index: ReachIndex, outline: MultiPolygon, bank: number): PatchShedding | null {
  for (let within = Math.max(bank, 20) * 2; within / 2 < FLOOD_REACH; within *= 2) {
    const near = findReachesNear(index, outline, Math.min(within, FLOOD_REACH))
    if (near.length === 0) continue
    const least = Math.min(...near.map(({ distance }) => distance))
    return sheddingOf(
      near.filter(({ distance }) => distance <= least),
      least,
    )
  }
  return null
}

/** `offset` is taken off the distances that share the load, so that far water does not underflow. */
function sheddingOf(near: readonly PatchReach[], offset: number): PatchShedding | null {
  if (near.length === 0) return null
  const crossing = near.flatMap(({ reach, crossings }) =>
    crossings.map(({ middle, length }) => ({ reach, fraction: middle, distance: 0, length })),
  )
  if (crossing.length > 0) return { distance: 0, places: crossing, isCrossing: true }
  const places = near.map(({ reach, nearest, distance }) => ({
    reach,
    fraction: nearest,
    distance: distance - offset,
    length: 0,
  }))
  return { distance: Math.min(...near.map(({ distance }) => distance)), places, isCrossing: false }
}

/** Load of one patch, and of each of its places. */
export function loadOfPatch(
  patch: Patch,
  shedding: PatchShedding,
  rule: SheddingRule,
): { load: number; parts: number[] } {
  const load = patch.infestedArea * rule.propagules * Math.exp(-shedding.distance / rule.bankScale)
  const weights = shedding.places.map(({ distance, length }) =>
    shedding.isCrossing ? length : Math.exp(-distance / rule.bankScale),
  )
  const sum = weights.reduce((total, weight) => total + weight, 0)
  return { load, parts: weights.map(weight => (load * weight) / sum) }
}

/** Loads on the arcs of the water, with the patch of each, and what falls on reaches of unknown direction. */
export interface WaterEntries extends Entries {
  readonly patch: Uint32Array
  /** Reach, patch and load of what cannot be routed. */
  readonly unrouted: readonly { readonly reach: number; readonly patch: number; readonly load: number }[]
}

/** Puts the loads of all patches on the water; on a reach that flows both ways each way takes half. Definition 3.8. */
export function enterWater(
  graph: FlowGraph,
  length: Float64Array,
  patches: readonly Patch[],
  shedding: readonly (PatchShedding | null)[],
  rule: SheddingRule,
): WaterEntries {
  const arc: number[] = []
  const place: number[] = []
  const load: number[] = []
  const patch: number[] = []
  const unrouted: { reach: number; patch: number; load: number }[] = []
  shedding.forEach((sheds, k) => {
    if (sheds === null) return
    const { parts } = loadOfPatch(patches[k]!, sheds, rule)
    sheds.places.forEach(({ reach, fraction }, i) => {
      const [first, end] = [graph.arcOffsets[reach]!, graph.arcOffsets[reach + 1]!]
      if (first === end) unrouted.push({ reach, patch: k, load: parts[i]! })
      for (let a = first; a < end; a++) {
        arc.push(a)
        place.push(length[a]! * (graph.isBackward[a] ? 1 - fraction : fraction))
        load.push(parts[i]! / (end - first))
        patch.push(k)
      }
    })
  })
  return {
    arc: Uint32Array.from(arc),
    place: Float64Array.from(place),
    load: Float64Array.from(load),
    patch: Uint32Array.from(patch),
    unrouted,
  }
}

/** The loads as an answer tells them, one entry a patch that sheds. */
export function describeLoads(
  patches: readonly Patch[],
  shedding: readonly (PatchShedding | null)[],
  rule: SheddingRule,
): PatchLoad[] {
  return patches.flatMap((patch, k) => {
    const sheds = shedding[k]
    if (sheds === null || sheds === undefined) return []
    const { load, parts } = loadOfPatch(patch, sheds, rule)
    const entries = sheds.places.map(({ reach, fraction }, i) => ({ reach, fraction, load: parts[i]! }))
    return [{ patchId: patch.id, load, distance: sheds.distance, entries }]
  })
}
