import { expect, TestRunner } from 'vitest'

/** One line of the printed table of reference checks. */
export interface ReferenceRow {
  readonly what: string
  readonly source: string
  /** How many values were compared; the row shows the pair that lies farthest apart. */
  readonly compared: number
  /** How far the pair shown lies apart, as a share of what is allowed. */
  readonly apart: number
  readonly expected: string
  readonly got: string
  /** The allowed difference as printed; empty where equality is asked for. */
  readonly within: string
  readonly isMet: boolean
}

/** A picture that a test drew, for the printed report. */
export interface ReportPicture {
  readonly what: string
  /** Path from the root of the repository. */
  readonly file: string
}

declare module 'vitest' {
  interface TaskMeta {
    referenceRows?: ReferenceRow[]
    reportPictures?: ReportPicture[]
  }
}

interface Tolerance {
  /** Greatest absolute difference allowed. */
  readonly within?: number
  /** Greatest difference allowed as a share of what is expected. */
  readonly share?: number
}

/** With both, they add up. */
function toleranceFor(expected: number, { within = 0, share = 0 }: Tolerance): number {
  return within + share * Math.abs(expected)
}

interface Claim {
  /** What was worked out, in a few words; with its unit. */
  readonly what: string
  /** The work, table or program outside of the project that the expected value comes from, in a few words. */
  readonly source: string
}

/** Asserts one value against its source and puts it in the table. Without a tolerance both must be equal, texts included. */
export function check<T extends number | string>(
  claim: Claim & Tolerance & { readonly expected: T; readonly got: T | null | undefined },
): void {
  checkOne(claim, 1)
}

function checkOne(claim: Claim & Tolerance & { expected: number | string; got: unknown }, compared: number): void {
  const { expected, got } = claim
  const isMet = isWithin(expected, got, claim)
  record(claim, { expected, got, compared }, isMet)
  if (!isMet) expect.fail(`${claim.what} (${claim.source}): expected ${expected} ${said(claim)}, got ${got}`)
}

/** Asserts many pairs against one source; the table shows the pair that lies farthest apart and how many there were. */
export function checkAll(
  claim: Claim & Tolerance & { readonly pairs: readonly (readonly [expected: number, got: number])[] },
): void {
  const { pairs } = claim
  expect(pairs.length, claim.what).toBeGreaterThan(0)
  const apart = (pair: readonly [number, number]): number => apartOf(...pair, claim)
  const [expected, got] = pairs.reduce((worst, pair) => (apart(pair) > apart(worst) ? pair : worst))
  checkOne({ ...claim, expected, got }, pairs.length)
}

/** Names a picture in the printed report. */
export function showPicture(picture: ReportPicture): void {
  const { meta } = TestRunner.getCurrentTest()!
  meta.reportPictures = [...(meta.reportPictures ?? []), picture]
}

/** Difference over what is allowed; no number at all is as far apart as can be. */
function apartOf(expected: number, got: number, tolerance: Tolerance): number {
  if (Object.is(got, expected)) return 0
  const ratio = Math.abs(got - expected) / toleranceFor(expected, tolerance)
  return Number.isNaN(ratio) ? Number.POSITIVE_INFINITY : ratio
}

function isWithin(expected: number | string, got: unknown, tolerance: Tolerance): boolean {
  if (tolerance.within === undefined && tolerance.share === undefined) return got === expected
  if (typeof expected !== 'number' || typeof got !== 'number') return false
  return Math.abs(got - expected) <= toleranceFor(expected, tolerance)
}

function said({ within, share }: Tolerance): string {
  const parts = [
    ...(within === undefined ? [] : [inShort(within)]),
    ...(share === undefined ? [] : [`${inShort(share)} of it`]),
  ]
  return parts.length === 0 ? '' : `± ${parts.join(' + ')}`
}

const inShort = (tolerance: number): string => {
  const rounded = Number(tolerance.toPrecision(3))
  return rounded < 1e-3 ? rounded.toExponential() : String(rounded)
}

function record(
  claim: Claim & Tolerance,
  values: { expected: unknown; got: unknown; compared: number },
  isMet: boolean,
): void {
  const { meta } = TestRunner.getCurrentTest()!
  const { expected, got } = values
  const tolerance = typeof expected === 'number' ? toleranceFor(expected, claim) : 0
  const row: ReferenceRow = {
    what: claim.what,
    source: claim.source,
    compared: values.compared,
    expected: shorten(expected, tolerance),
    got: shorten(got, tolerance),
    within: said(claim),
    apart: typeof expected === 'number' && typeof got === 'number' ? apartOf(expected, got, claim) : 0,
    isMet,
  }
  meta.referenceRows = [...(meta.referenceRows ?? []), row]
}

/** One digit more than the tolerance tells apart; for reading only, the comparison is of the whole numbers. */
function shorten(value: unknown, tolerance: number): string {
  if (typeof value !== 'number' || !(tolerance > 0)) return String(value)
  const decimals = Math.min(15, Math.max(0, 1 - Math.floor(Math.log10(tolerance))))
  return String(Number(value.toFixed(decimals)) || Number(value.toPrecision(2)))
}
