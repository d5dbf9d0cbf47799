import { type DownstreamAnswer, LOOK_ORDER, type LoadOnReaches } from '../model/index.ts'

/** Columns of one scenario as files carry them, not rounded; null where there is nothing to say. */
export type LoadProperties = Readonly<Record<string, number | string | null>>

/** The load part of a reach's columns: ordinary flow under plain names, flood under the same with `flood_` before them. */
export function loadProperties(answer: DownstreamAnswer, reach: number): LoadProperties {
  const flood = scenarioProperties(answer, answer.flood, reach)
  const prefixed = Object.entries(flood).map(([name, value]) => [`flood_${name}`, value] as const)
  const hours = answer.hoursFromSource?.[reach] ?? Number.NaN
  return {
    ...scenarioProperties(answer, answer.ordinary, reach),
    ...Object.fromEntries(prefixed),
    hours_from_source: Number.isNaN(hours) ? null : hours,
  }
}

function scenarioProperties(answer: DownstreamAnswer, load: LoadOnReaches, reach: number): LoadProperties {
  const look = LOOK_ORDER[load.look[reach]!]!
  const firmness = load.lookFirmness[reach]!
  const source = load.mainSource[reach]!
  const hasDeposit = load.rank[reach]! > 0
  return {
    load_in: load.loadIn[reach]!,
    load_own: load.loadOwn[reach]!,
    load_out: load.loadOut[reach]!,
    deposit: load.deposit[reach]!,
    held: load.held[reach]!,
    arrival_chance: load.arrivalChance[reach]!,
    chance_low: load.chanceLow[reach]!,
    chance_high: load.chanceHigh[reach]!,
    unrouted: load.unrouted[reach]!,
    look: look === 'none' ? null : look,
    look_firmness: Number.isNaN(firmness) ? null : firmness,
    risk_rank: hasDeposit ? load.rank[reach]! : null,
    main_source: source < 0 ? null : answer.patchIds[source]!,
    main_source_share: source < 0 ? null : load.mainSourceShare[reach]!,
  }
}
