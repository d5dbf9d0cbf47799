import type { Audience } from '../model/brief.ts'
import { CONSENT, type Consent } from '../model/report.ts'

/** Finest level at which an audience may see the place of a find. */
const LEVELS: Readonly<Record<Audience, Consent>> = { crew: 'exact', owner: 'exact', partner: 'exact', public: 'cell' }

export const audienceLevel = (audience: Audience): Consent => LEVELS[audience]

/** The coarser of two levels; it always wins. */
export const coarser = (a: Consent, b: Consent): Consent => (CONSENT.indexOf(a) >= CONSENT.indexOf(b) ? a : b)

/**
 * How a place with a given consent is shown to an audience.
 * Crews see every place, as the run itself does. "Parcel only" names an owner through the tax roll, so that it is for crew
 * and owner; partners and the public get a cell instead.
 */
export function levelFor(consent: Consent, audience: Audience): Consent {
  if (audience === 'crew') return 'exact'
  const level = coarser(consent, audienceLevel(audience))
  if (level !== 'parcel') return level
  return audience === 'owner' ? 'exact' : 'cell'
}

/** The coarsest consent of several reports; `withheld` for none, since nothing then allows showing the place. */
export const coarsestOf = (consents: readonly Consent[]): Consent =>
  consents.length === 0 ? 'withheld' : consents.reduce(coarser)
