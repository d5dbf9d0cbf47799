import { loadProperties } from '../downstream/index.ts'
import type { DownstreamAnswer, ReachNetwork } from '../model/index.ts'
import { reachProperties } from '../network/index.ts'

export type ReachRow = Readonly<Record<string, string | number | boolean | null>>

/** Properties of a reach as files carry them: the network's and, where loads are known, those of both flows. */
export function reachRow(network: ReachNetwork, answer: DownstreamAnswer | null, reach: number): ReachRow {
  return { ...reachProperties(network, reach), ...(answer === null ? {} : loadProperties(answer, reach)) }
}
