/** Manning's n of a clean, winding channel with some pools and shoals. Source: Chow (1959), Open-channel hydraulics, table 5-6 (from memory). */
const ROUGHNESS = 0.04
/** Depth that stands for the hydraulic radius where none is given, metres. Common practice, no source. */
const DEPTH = 0.3

/**
 * Mean velocity of a wide channel, metres a second: v = R^(2/3) S^(1/2) / n, with the depth as hydraulic radius.
 * Source: Manning's equation in Chow (1959), Open-channel hydraulics, equation 5-6.
 */
export const manningVelocity = (slope: number, depth: number): number =>
  (depth ** (2 / 3) * Math.sqrt(slope)) / ROUGHNESS

/** Velocities of lines: as given in `velocity_m_s`, else from `slope` (metres a metre) and `depth_m`; NaN where neither is there. */
export function readVelocities(
  read: (name: string, isValid: (value: number) => boolean, rule: string) => Float64Array,
): Float64Array {
  const given = read('velocity_m_s', value => value > 0, 'a velocity is above 0 metres a second')
  const slope = read('slope', value => value >= 0 && value <= 1, 'a slope lies between 0 and 1, metres a metre')
  const depth = read('depth_m', value => value > 0, 'a depth is above 0 metres')
  return given.map((velocity, i) => {
    if (!Number.isNaN(velocity)) return velocity
    // Level water has no velocity by this relation: it is not known.
    return slope[i]! > 0 ? manningVelocity(slope[i]!, Number.isNaN(depth[i]!) ? DEPTH : depth[i]!) : Number.NaN
  })
}
