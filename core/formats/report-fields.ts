/** Fields of a report that a file can give, under the names of the brief. */
export const REPORT_FIELDS = [
  'id',
  'date',
  'lon',
  'lat',
  'found',
  'cover',
  'size_m2',
  'evidence',
  'accuracy_m',
  'recorder',
  'training',
  'confirmed_by',
  'status',
  'accuracy_level',
  'extent_m',
  'consent',
  'notes',
] as const
export type ReportField = (typeof REPORT_FIELDS)[number]
