import type { LoadBalance } from '../model/index.ts'

/** The balance under the names that files and the command line use. Propagules a season, not rounded. */
export function balanceSummary(balance: LoadBalance) {
  return {
    load_total: balance.loadTotal,
    deposit_total: balance.depositTotal,
    outlet_total: balance.outletTotal,
    held_total: balance.heldTotal,
    stranded_total: balance.strandedTotal,
    unrouted_total: balance.unroutedTotal,
    balance_error: balance.balanceError,
  }
}
