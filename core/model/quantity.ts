import { METRES_PER_FOOT, METRES_PER_MILE, SQUARE_METRES_PER_ACRE } from './units.ts'

export const QUANTITY_KINDS = ['area', 'length', 'rate', 'share', 'count', 'date', 'text'] as const
export type QuantityKind = (typeof QUANTITY_KINDS)[number]

/** A figure as measured: square metres, metres, metres a year, a share (0-1) or a count; shown in the reader's units. */
export interface Quantity {
  readonly kind: QuantityKind
  readonly value: number | string | null
  readonly low?: number | null
  readonly high?: number | null
  /** Show with an explicit sign. */
  readonly isSigned?: boolean
  /** What counts, for a count: singular and plural. */
  readonly noun?: readonly [singular: string, plural: string]
}

/** How the reader wants figures: acres and feet, or hectares and metres; digits by locale. */
export interface Reading {
  readonly units: 'acres-feet' | 'hectares-metres'
  readonly locale: string
}

/** A sentence built from figures: plain words and quantities in turn, so that each figure can be opened. */
export type Phrase = readonly (string | Quantity)[]

/** A quantity in the reader's units, rounded to what the data carry; `long` adds the unit in words only where it is ambiguous. */
export function formatQuantity(quantity: Quantity, reading: Reading): string {
  if (quantity.value === null) return '–'
  if (typeof quantity.value === 'string') return quantity.value
  const scale = scaleFor(quantity, reading)
  const one = (value: number, isSigned: boolean) =>
    formatNumber(value / scale.divisor, scale.digits, reading.locale, isSigned)
  const body = one(quantity.value, quantity.isSigned ?? false)
  const range =
    quantity.low == null || quantity.high == null ? '' : ` (${one(quantity.low, false)}–${one(quantity.high, false)})`
  const unit = quantity.noun ? (quantity.value === 1 ? quantity.noun[0] : quantity.noun[1]) : scale.unit
  return `${body}${range}${unit === '' ? '' : ` ${unit}`}`
}

export function formatPhrase(phrase: Phrase, reading: Reading): string {
  return phrase.map(piece => (typeof piece === 'string' ? piece : formatQuantity(piece, reading))).join('')
}

interface Scale {
  readonly divisor: number
  readonly digits: number
  readonly unit: string
}

function scaleFor(quantity: Quantity, reading: Reading): Scale {
  const size = Math.abs(Number(quantity.value))
  const isMetric = reading.units === 'hectares-metres'
  if (quantity.kind === 'area') return areaScale(size, isMetric)
  if (quantity.kind === 'length') return lengthScale(size, isMetric)
  if (quantity.kind === 'rate') {
    const scale = lengthScale(size, isMetric)
    return { ...scale, unit: `${scale.unit}/yr` }
  }
  if (quantity.kind === 'share') return { divisor: 0.01, digits: size < 0.0995 && size > 0 ? 1 : 0, unit: '%' }
  return { divisor: 1, digits: 0, unit: '' }
}

function areaScale(size: number, isMetric: boolean): Scale {
  if (isMetric) {
    if (size < 1000) return { divisor: 1, digits: 0, unit: 'm²' }
    return { divisor: 10_000, digits: size < 100_000 ? 2 : size < 1_000_000 ? 1 : 0, unit: 'ha' }
  }
  if (size < 405) return { divisor: METRES_PER_FOOT ** 2, digits: 0, unit: 'ft²' }
  const acres = size / SQUARE_METRES_PER_ACRE
  return { divisor: SQUARE_METRES_PER_ACRE, digits: acres < 10 ? 2 : acres < 100 ? 1 : 0, unit: 'ac' }
}

function lengthScale(size: number, isMetric: boolean): Scale {
  if (isMetric) {
    if (size < 1000) return { divisor: 1, digits: size < 10 ? 1 : 0, unit: 'm' }
    return { divisor: 1000, digits: size < 10_000 ? 2 : 1, unit: 'km' }
  }
  if (size < METRES_PER_MILE / 2) return { divisor: METRES_PER_FOOT, digits: 0, unit: 'ft' }
  return { divisor: METRES_PER_MILE, digits: size < 16_093 ? 2 : 1, unit: 'mi' }
}

function formatNumber(value: number, digits: number, locale: string, isSigned: boolean): string {
  const rounded = Number(value.toFixed(digits)) === 0 ? 0 : value
  const signDisplay = isSigned ? 'exceptZero' : 'auto'
  return new Intl.NumberFormat(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits, signDisplay })
    .format(rounded)
    .replace('-', '−')
}
