import type { DownstreamSettings, Interval, SpeciesProfile } from '../model/index.ts'
import type { Random } from '../stats/index.ts'

/** The uncertain numbers of the load: propagules a square metre, chance a propagule, metres. */
export interface LoadParameters {
  readonly propagules: number
  readonly establishment: number
  readonly bankScale: number
  readonly retentionOrdinary: number
  readonly retentionFlood: number
}

/** The bank scale is drawn between half and twice its value. Common practice, no source. */
const BANK_SCALE_SPREAD = 2

/** Values of the settings, else of the profile. */
export function centralParameters(settings: DownstreamSettings, profile: SpeciesProfile): LoadParameters {
  return {
    propagules: settings.propagules ?? profile.propagules.value,
    establishment: profile.establishment.value,
    bankScale: settings.bankScale,
    retentionOrdinary: settings.retentionOrdinary ?? profile.retention.ordinary.value,
    retentionFlood: settings.retentionFlood ?? profile.retention.flood.value,
  }
}

/**
 * One draw of all parameters. Each is triangular in its logarithm, from the low to the high end of the profile's range with
 * its peak at the value; a value set by the person moves its range along with it. An infinite retention length stays so.
 */
export function drawParameters(central: LoadParameters, profile: SpeciesProfile, random: Random): LoadParameters {
  const draw = (value: number, base: number, range: Interval): number => {
    const u = random.next()
    if (!(value > 0 && Number.isFinite(value))) return value
    return value * Math.exp(triangular(u, Math.log(range.low / base), Math.log(range.high / base)))
  }
  return {
    propagules: draw(central.propagules, profile.propagules.value, profile.propagulesRange),
    establishment: draw(central.establishment, profile.establishment.value, profile.establishmentRange),
    bankScale: draw(central.bankScale, 1, { low: 1 / BANK_SCALE_SPREAD, high: BANK_SCALE_SPREAD }),
    retentionOrdinary: draw(
      central.retentionOrdinary,
      profile.retention.ordinary.value,
      profile.retentionRange.ordinary,
    ),
    retentionFlood: draw(central.retentionFlood, profile.retention.flood.value, profile.retentionRange.flood),
  }
}

/** Quantile of the triangular distribution on low <= 0 <= high with its peak at 0. */
function triangular(u: number, low: number, high: number): number {
  const [a, b] = [Math.min(0, low), Math.max(0, high)]
  if (a === b) return 0
  const peak = -a / (b - a)
  return u < peak ? a + Math.sqrt(u * (b - a) * -a) : b - Math.sqrt((1 - u) * (b - a) * b)
}
