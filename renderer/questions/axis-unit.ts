import {
  type Chart,
  METRES_PER_FOOT,
  METRES_PER_MILE,
  type Reading,
  SQUARE_METRES_PER_ACRE,
} from '../../core/model/index.ts'

export interface AxisUnit {
  /** How much of the stored measure one unit holds. */
  readonly size: number
  readonly name: string
}

const LENGTHS = { short: { size: 1, name: 'm' }, long: { size: 1000, name: 'km' } }
const LENGTHS_FEET = { short: { size: METRES_PER_FOOT, name: 'ft' }, long: { size: METRES_PER_MILE, name: 'mi' } }
const AREAS = { short: { size: 1, name: 'm²' }, long: { size: 10_000, name: 'ha' } }
const AREAS_ACRES = {
  short: { size: METRES_PER_FOOT ** 2, name: 'ft²' },
  long: { size: SQUARE_METRES_PER_ACRE, name: 'ac' },
}

/** The one unit of a chart's axis: the one in which its largest value reads best, so that ticks are round in it. */
export function axisUnit(kind: Chart['yKind'], largest: number, reading: Reading): AxisUnit {
  const isMetric = reading.units === 'hectares-metres'
  if (kind === 'share') return { size: 0.01, name: '%' }
  if (kind === 'count') return { size: 1, name: '' }
  const units = kind === 'area' ? (isMetric ? AREAS : AREAS_ACRES) : isMetric ? LENGTHS : LENGTHS_FEET
  const unit = largest >= units.long.size / 2 ? units.long : units.short
  return kind === 'rate' ? { ...unit, name: `${unit.name}/yr` } : unit
}
