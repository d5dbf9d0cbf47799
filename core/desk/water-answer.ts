import type { DownstreamAnswer } from '../model/index.ts'
import type { SeasonRun } from './run-season.ts'

/** What water would carry from the patches of a season. Absent: null where there is no water, or no patch that season. */
export const waterAnswer = ({ downstream }: Pick<SeasonRun, 'downstream'>, season: string): DownstreamAnswer | null =>
  downstream.find(answer => answer?.season === season) ?? null
