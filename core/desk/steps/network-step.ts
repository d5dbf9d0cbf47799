import type { Files } from '../../desk-view.ts'
import { balanceSummary, type DownstreamInput, routeDownstream, traceSources } from '../../downstream/index.ts'
import { chooseWorkingFrame } from '../../geo/index.ts'
import {
  type DownstreamSettings,
  InputError,
  type Position,
  type ReachNetwork,
  type RepairDecision,
  type SourceShare,
  type Task,
} from '../../model/index.ts'
import { buildNetwork, createReachIndex, snapToReach } from '../../network/index.ts'
import { defaultBrief } from '../../project/index.ts'
import { barriersOf } from '../inputs.ts'
import { writeReaches } from '../outputs.ts'
import { protectedSites } from '../roles.ts'
import { layerOfKind, patchesOfLayer } from './patch-file.ts'
import { readOnGlobe } from './read-source.ts'

export interface NetworkStep {
  readonly lines: string
  readonly snap: number
  readonly isNodingCrossings: boolean
  readonly isNodingTouches: boolean
  readonly repairs: readonly RepairDecision[]
  readonly directionField?: string
  readonly idField?: string
  readonly outlets: readonly Position[]
}

/** Noded, directed reaches of a file of lines. */
export async function networkOfFile(step: NetworkStep, files: Files, task: Task): Promise<ReachNetwork> {
  const { layers } = await readOnGlobe(step.lines, files, task.part(0, 0.3))
  return buildNetwork(
    {
      lines: layerOfKind(layers, 'line', step.lines),
      fields: {
        ...(step.idField === undefined ? {} : { id: step.idField }),
        ...(step.directionField === undefined ? {} : { direction: step.directionField }),
      },
      snap: step.snap,
      isNodingCrossings: step.isNodingCrossings,
      isNodingTouches: step.isNodingTouches,
      repairs: step.repairs,
      outlets: step.outlets,
    },
    task.part(0.3, 1),
  )
}

export interface NetworkResult {
  readonly file: Uint8Array
  readonly network: ReachNetwork
}

export async function writeNetwork(step: NetworkStep, files: Files, task: Task): Promise<NetworkResult> {
  const network = await networkOfFile(step, files, task)
  return { network, file: writeReaches(network, { downstream: [] }) }
}

export interface DownstreamStep extends NetworkStep {
  readonly sources: string
  readonly barriers?: string
  /** Protected sites: polygons or points. */
  readonly protect?: string
  /** Ask where what settles on the reach at this place could have come from. */
  readonly trace?: Position
  readonly settings: Partial<DownstreamSettings>
}

/** Load and risk of a patch file on the reaches of a line file. */
export async function writeDownstream(step: DownstreamStep, files: Files, task: Task) {
  const network = await networkOfFile(step, files, task.part(0, 0.4))
  const { layers } = await readOnGlobe(step.sources, files, task.part(0.4, 0.5))
  const polygons = layerOfKind(layers, 'polygon', step.sources)
  const all = patchesOfLayer(polygons, chooseWorkingFrame(polygons.geometry.coords), step.sources)
  // A file of several seasons sheds from its newest alone.
  const season =
    all
      .map(patch => patch.season)
      .sort()
      .at(-1) ?? ''
  const patches = all.filter(patch => patch.season === season)
  const brief = defaultBrief({ reports: [], reference: [] })
  const barriers =
    step.barriers === undefined ? [] : barriersOf((await readOnGlobe(step.barriers, files, task)).layer, undefined)
  const protect =
    step.protect === undefined ? null : protectedSites((await readOnGlobe(step.protect, files, task)).layer)
  const input: DownstreamInput = {
    network,
    patches,
    season,
    settings: { ...brief.downstream, ...step.settings, snap: step.snap },
    profile: brief.species,
    barriers,
    flood: null,
    protect,
  }
  const answer = await routeDownstream(input, task.part(0.5, step.trace === undefined ? 1 : 0.9))
  return {
    file: writeReaches(network, { downstream: [answer] }),
    summary: { ordinary: balanceSummary(answer.ordinary.balance), flood: balanceSummary(answer.flood.balance) },
    averted: answer.patchIds.map((patch_id, k) => ({
      patch_id,
      ordinary: answer.ordinary.averted[k]!,
      flood: answer.flood.averted[k]!,
      ordinary_at_protected: answer.ordinary.avertedAtProtected?.[k] ?? null,
      flood_at_protected: answer.flood.avertedAtProtected?.[k] ?? null,
    })),
    trace: step.trace === undefined ? null : await traceAt(input, step.trace, task.part(0.9, 1)),
    network,
  }
}

/** A place that is traced may lie this far from the water, metres. Common practice, no source. */
const TRACE_REACH = 100

async function traceAt(input: DownstreamInput, [longitude, latitude]: Position, task: Task) {
  const snap = snapToReach(createReachIndex(input.network), longitude, latitude, TRACE_REACH)
  if (snap === null) {
    throw new InputError({
      code: 'downstream-trace-far',
      value: `${longitude}, ${latitude}`,
      reason: `no water lies within ${TRACE_REACH} m of this place`,
      remedy: 'Give a place by a reach, as longitude, latitude.',
    })
  }
  const { ordinary, flood } = await traceSources(input, snap.reach, task)
  const row = ({ patchId, share, deposit, distance }: SourceShare) => ({
    patch_id: patchId,
    share,
    deposit,
    distance_m: distance,
  })
  return {
    reach_id: snap.reach + 1,
    line_id: input.network.lines[input.network.line[snap.reach]!]!.id,
    away_m: snap.distance,
    ordinary: ordinary.map(row),
    flood: flood.map(row),
  }
}
