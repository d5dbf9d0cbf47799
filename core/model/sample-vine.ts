import type { SpeciesProfile } from './profile.ts'

const COMMON = 'common practice, no source'

/** Starting values of a water-dispersed climbing vine; each is a setting that local records replace. */
export const SAMPLE_VINE: SpeciesProfile = {
  id: 'sample-vine',
  name: 'sample vine',
  stemGrowthDay: { value: 0.2032, source: `${COMMON} (up to 8 in a day)` },
  stemGrowthSeason: { value: 19.812, source: `${COMMON} (65 ft a season)` },
  retention: {
    ordinary: {
      value: 200,
      source: 'set so that the farthest bulbil recovery, 206 m (Thomas, Gibson and Middleton 2005), is ordinary',
    },
    flood: { value: 2000, source: COMMON },
    lake: { value: 1000, source: `${COMMON}, weak (what floats crosses open water and strands on its shore)` },
  },
  retentionRange: { ordinary: { low: 100, high: 500 }, flood: { low: 500, high: 5000 } },
  propagules: { value: 2, source: `${COMMON}, weak` },
  propagulesRange: { low: 0.2, high: 20 },
  establishment: { value: 0.01, source: `${COMMON}, weak` },
  establishmentRange: { low: 0.001, high: 0.05 },
}

export const PROFILES: readonly SpeciesProfile[] = [SAMPLE_VINE]
