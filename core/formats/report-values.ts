import {
  CONSENT,
  type Consent,
  EVIDENCE,
  type Evidence,
  REPORT_STATUS,
  type ReportStatus,
  TRAINING,
  type Training,
} from '../model/report.ts'

/** Words that mean the same as a value of the program, lower case, without spaces, hyphens and underscores. */
type Synonyms<T> = Readonly<Record<string, T>>

const FOUND: Synonyms<boolean> = words([
  [true, 'yes y true t 1 present presence found detected positive'],
  [false, 'no n false f 0 absent absence notfound notdetected notpresent undetected negative'],
])
const EVIDENCE_WORDS: Synonyms<Evidence> = words([
  ['leaf', 'leaf leaves foliage'],
  ['propagule', 'propagule propagules bulbil bulbils fruit fruits seed seeds'],
  ['stem', 'stem stems deadstem deadstems'],
])
const TRAINING_WORDS: Synonyms<Training> = words([
  ['new', 'new untrained none novice'],
  ['trained', 'trained'],
  ['staff', 'staff expert professional'],
])
const STATUS_WORDS: Synonyms<ReportStatus> = words([
  ['unchecked', 'unchecked pending unverified needsreview'],
  ['accepted', 'accepted verified confirmed approved'],
  ['held', 'held onhold hold'],
  ['rejected', 'rejected denied invalid'],
])
const CONSENT_WORDS: Synonyms<Consent> = words([
  ['exact', 'exact full'],
  ['parcel', 'parcel parcelonly'],
  ['cell', 'cell'],
  ['withheld', 'withheld private'],
])

function words<T>(groups: readonly (readonly [T, string])[]): Synonyms<T> {
  return Object.assign(
    Object.create(null),
    Object.fromEntries(groups.flatMap(([value, text]) => text.split(' ').map(word => [word, value]))),
  )
}

const look = <T>(table: Synonyms<T>, text: string): T | null =>
  table[text.toLowerCase().replace(/[\s_-]+/g, '')] ?? null

/** Whether the report says found; null where the text says neither. */
export const parseFound = (text: string): boolean | null => look(FOUND, text)
export const parseEvidence = (text: string): Evidence | null => look(EVIDENCE_WORDS, text)
export const parseTraining = (text: string): Training | null => look(TRAINING_WORDS, text)
export const parseStatus = (text: string): ReportStatus | null => look(STATUS_WORDS, text)
export const parseConsent = (text: string): Consent | null => look(CONSENT_WORDS, text)

/** The values that a field understands, for the remedy of a warning. */
export const EXPECTED = {
  found: 'yes or no',
  evidence: EVIDENCE.join(', '),
  training: TRAINING.join(', '),
  status: REPORT_STATUS.join(', '),
  consent: CONSENT.join(', '),
} as const

const MEASURE = /^\+?(\d+(?:\.\d+)?|\.\d+|-\d+(?:\.\d+)?)(?:[eE][+-]?\d{1,3})?\s*(m|m2|m²|sq\.? ?m)?$/i

/** A length in metres or an area in square metres as a person writes it (`12`, `12.5 m`, `12,5`); null where it cannot be read. */
export function parseMeasure(text: string): number | null {
  // A comma before three digits could part thousands; such a value is not guessed.
  const clean = text.trim().replace(/^(-?\d+),(\d{1,2}|\d{4,})(?!\d)/, '$1.$2')
  const match = MEASURE.exec(clean)
  if (!match) return null
  const value = Number(clean.replace(/\s*(m|m2|m²|sq\.? ?m)$/i, ''))
  return Number.isFinite(value) ? value : null
}

/** The share (0-1) that an accuracy level names: `0.68`, `68`, `68 %`; null where it is none. */
export function parseLevel(text: string): number | null {
  const match = /^(\d{1,2}(?:\.\d+)?|\.\d+)\s*%?$/.exec(text.trim())
  if (!match) return null
  const value = Number(match[1])
  const share = value >= 1 || text.includes('%') ? value / 100 : value
  return share > 0 && share < 1 ? share : null
}
