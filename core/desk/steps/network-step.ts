import type { Files } from '../../desk-view.ts'
import { balanceSummary, routeDownstream } from '../../downstream/index.ts'
import { chooseWorkingFrame } from '../../geo/index.ts'
import type { DownstreamSettings, Position, ReachNetwork, RepairDecision, Task } from '../../model/index.ts'
import { buildNetwork } from '../../network/index.ts'
import { defaultBrief } from '../../project/index.ts'
import { barriersOf } from '../inputs.ts'
import { writeReaches } from '../outputs.ts'
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
  const answer = await routeDownstream(
    {
      network,
      patches,
      season,
      settings: { ...brief.downstream, ...step.settings, snap: step.snap },
      profile: brief.species,
      barriers,
      flood: null,
    },
    task.part(0.5, 1),
  )
  return {
    file: writeReaches(network, { downstream: [answer] }),
    summary: { ordinary: balanceSummary(answer.ordinary.balance), flood: balanceSummary(answer.flood.balance) },
    network,
  }
}
