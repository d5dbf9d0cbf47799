import { DIRECTION_EVIDENCE, NETWORK_PROBLEM, type ReachNetwork, WATER_KINDS } from '../model/index.ts'

/** Columns of a reach as files carry them; ids and nodes count from 1. Lengths in metres, not rounded. */
export interface ReachProperties {
  readonly reach_id: number
  readonly line_id: string
  readonly name: string | null
  readonly from_node: number
  readonly to_node: number
  readonly length_m: number
  readonly direction_evidence: string
  readonly both_ways: boolean
  readonly strahler: number
  readonly shreve: number
  readonly problem: string | null
  readonly water: string
  readonly upstream_length_m: number | null
  readonly distance_to_outlet_m: number | null
  readonly velocity_m_s: number | null
  readonly hours_to_outlet: number | null
}

export function reachProperties(network: ReachNetwork, reach: number): ReachProperties {
  const line = network.lines[network.line[reach]!]!
  const problem = NETWORK_PROBLEM[network.problem[reach]!]!
  return {
    reach_id: reach + 1,
    line_id: line.id,
    name: line.name,
    from_node: network.from[reach]! + 1,
    to_node: network.to[reach]! + 1,
    length_m: network.length[reach]!,
    direction_evidence: DIRECTION_EVIDENCE[network.evidence[reach]!]!,
    both_ways: network.isBothWays[reach] === 1,
    strahler: network.strahler[reach]!,
    shreve: network.shreve[reach]!,
    problem: problem === 'none' ? null : problem,
    water: WATER_KINDS[network.water[reach]!]!,
    upstream_length_m: knownNumber(network.upstreamLength[reach]!),
    distance_to_outlet_m: knownNumber(network.outletDistance[reach]!),
    velocity_m_s: knownNumber(network.velocity[reach]!),
    hours_to_outlet: knownNumber(network.outletHours[reach]!),
  }
}

const knownNumber = (value: number): number | null => (Number.isNaN(value) ? null : value)
