import { z } from 'zod'
import {
  AUDIENCES,
  BANDWIDTH_RULES,
  DATE_FORMATS,
  EVIDENCE,
  isPlainDate,
  OUTLINE_METHODS,
  PAGES,
  SHEET_KINDS,
  SINGLE_LAYER_ROLES,
} from '../model/index.ts'

/** The brief as a person writes it (contract: snake_case, relative paths); defaults are filled in by `parseBrief`. */
const date = z.string().refine(isPlainDate, 'is not a calendar date of the form 2025-07-31')
const positive = z.number().positive()
const notNegative = z.number().nonnegative()
const seed = z.number().int()
const draws = z.number().int().min(1).max(10_000)

const source = z.strictObject({
  path: z.string().min(1),
  layer: z.string().optional(),
  fields: z.record(z.string(), z.string()).optional(),
  date_format: z.enum(DATE_FORMATS).optional(),
  crs: z.string().optional(),
})

const oneOf = (words: string) => ({ error: `Invalid value: expected ${words}` })
const quoted = (names: readonly string[]) => names.map(name => `"${name}"`).join(', ')

const interval = z.tuple([positive, positive]).refine(([low, high]) => low <= high, 'must run from low to high')

const profile = z.strictObject({
  id: z.string(),
  name: z.string(),
  base: z.string().optional(),
  stem_growth_day_m: positive.optional(),
  stem_growth_season_m: positive.optional(),
  retention_m: z
    .strictObject({ ordinary: positive.optional(), flood: positive.optional(), lake: positive.optional() })
    .optional(),
  retention_range_m: z.strictObject({ ordinary: interval.optional(), flood: interval.optional() }).optional(),
  propagules_per_m2: positive.optional(),
  propagules_range: interval.optional(),
  establishment: z.number().gt(0).max(1).optional(),
  establishment_range: interval.optional(),
  source: z.string().optional(),
})
export type ProfileInput = z.infer<typeof profile>

const season = z.strictObject({
  id: z.union([z.string().min(1), z.number().int().transform(String)]),
  start: date,
  end: date,
  detectable: z.partialRecord(z.enum(EVIDENCE), z.tuple([date, date])).optional(),
})

const layers = z.strictObject({
  reports: z.array(source).min(1),
  reference: z.array(source).optional(),
  ...(Object.fromEntries(SINGLE_LAYER_ROLES.map(role => [role, source.optional()])) as Record<
    (typeof SINGLE_LAYER_ROLES)[number],
    z.ZodOptional<typeof source>
  >),
})

const outline = z.strictObject({
  method: z.enum(OUTLINE_METHODS).optional(),
  radius_m: positive.max(10_000).optional(),
  join_m: notNegative.max(10_000).optional(),
  min_reports: z.number().int().min(1).optional(),
  min_reports_unconfirmed: z.number().int().min(1).optional(),
  accuracy_limit_m: positive.optional(),
  minimum_hole_m2: notNegative.optional(),
  minimum_area_m2: notNegative.optional(),
  sliver_width_m: notNegative.optional(),
  largest_size_m2: positive.optional(),
  search_radius_m: positive.optional(),
  join_water_width_m: positive.optional(),
  bandwidth: z
    .union([z.enum(BANDWIDTH_RULES), positive.max(100_000)], oneOf(`${quoted(BANDWIDTH_RULES)} or metres above 0`))
    .optional(),
  mass: z.number().gt(0).lt(1).optional(),
  draws: z.number().int().min(0).max(10_000).optional(),
  seed: seed.optional(),
})

const place = z.tuple([z.number().min(-180).max(180), z.number().min(-90).max(90)])

const advance = z.strictObject({
  origin: z
    .union(
      [z.literal('first-patch'), z.literal('boundary'), place, z.array(place).min(1)],
      oneOf('"first-patch", "boundary", a place [longitude, latitude] or a list of places'),
    )
    .optional(),
  step_m: positive.optional(),
  sectors: z.number().int().min(2).max(72).optional(),
  draws: draws.optional(),
  seed: seed.optional(),
})

const downstream = z.strictObject({
  snap_m: notNegative.optional(),
  node_crossings: z.boolean().optional(),
  node_touches: z.boolean().optional(),
  repairs: z
    .array(
      z.union(
        [z.string().min(1), z.strictObject({ id: z.string().min(1), decision: z.enum(['accept', 'decline']) })],
        oneOf('the id of a repair, or { "id": ..., "decision": "accept" or "decline" }'),
      ),
    )
    .optional(),
  bank_m: positive.optional(),
  bank_scale_m: positive.optional(),
  retention_m: z.strictObject({ ordinary: positive.optional(), flood: positive.optional() }).optional(),
  propagules_per_m2: positive.optional(),
  draws: draws.optional(),
  seed: seed.optional(),
})

const sheet = z.strictObject({
  id: z.string().regex(/^[\w-]+$/, 'may hold letters, digits, - and _ (it names a file)'),
  kind: z.enum(SHEET_KINDS),
  page: z.enum(PAGES).optional(),
  orientation: z.enum(['landscape', 'portrait']).optional(),
  audience: z.enum(AUDIENCES).optional(),
  title: z.string().optional(),
  scale: positive.optional(),
  owner: z.string().optional(),
})

export const briefSchema = z.strictObject({
  title: z.string().min(1),
  species: z
    .union([z.string(), profile], oneOf('the name of a profile, or a profile written out (id, name and its values)'))
    .optional(),
  working_crs: z.string().optional(),
  layers,
  seasons: z.array(season).optional(),
  outline: outline.optional(),
  vet: z.strictObject({ admit: z.enum(['accepted', 'unblocked']).optional() }).optional(),
  advance: advance.optional(),
  downstream: downstream.optional(),
  plan: z.strictObject({ person_hours: notNegative.optional(), insects: notNegative.optional() }).optional(),
  sheets: z.array(sheet).optional(),
})
export type BriefInput = z.infer<typeof briefSchema>
