import { type ParseError, parse, printParseErrorCode } from 'jsonc-parser'
import { findCrs } from '../geo/index.ts'
import {
  type Brief,
  type BriefLayers,
  DAUBENMIRE,
  InputError,
  type LayerSource,
  PROFILES,
  SAMPLE_VINE,
  type Season,
  type SheetRequest,
  SINGLE_LAYER_ROLES,
  type SpeciesProfile,
  yearOf,
} from '../model/index.ts'
import { type BriefInput, briefSchema, type ProfileInput } from './brief-schema.ts'

/**
 * A complete brief from its text (JSON, comments and trailing commas allowed).
 * Errors: InputError with the path inside the brief of the first thing that is wrong.
 */
export function parseBrief(text: string, file: string): Brief {
  // Read as UTF-8, UTF-16 shows as zeros between the letters.
  if (text.slice(0, 8).includes('\0')) {
    const reason = 'The brief is UTF-16 text, or no text at all'
    throw new InputError({ code: 'brief-encoding', file, reason, remedy: 'Save it as UTF-8.' })
  }
  const errors: ParseError[] = []
  const raw: unknown = parse(text, errors, { allowTrailingComma: true })
  const first = errors[0]
  if (first) {
    const line = text.slice(0, first.offset).split('\n').length
    throw new InputError({
      code: 'brief-not-json',
      file,
      row: line,
      reason: `The brief is not readable as JSON (${printParseErrorCode(first.error)})`,
      remedy: `Mend line ${line}.`,
    })
  }
  const result = briefSchema.safeParse(raw)
  if (!result.success) throw schemaError(result.error.issues[0] as SchemaIssue | undefined, raw, file)
  return completeBrief(result.data, file)
}

interface SchemaIssue {
  readonly path: readonly PropertyKey[]
  readonly message: string
  readonly keys?: readonly string[]
}

function schemaError(issue: SchemaIssue | undefined, raw: unknown, file: string): InputError {
  // An unknown entry is told under its own name, not under that of what it stands in.
  const unknown = issue?.keys?.[0]
  const path = [...(issue?.path ?? []), ...(unknown === undefined ? [] : [unknown])]
  const value = path.reduce<unknown>((node, key) => (node as Record<PropertyKey, unknown> | undefined)?.[key], raw)
  return new InputError({
    code: 'brief-value',
    file,
    field: path.map(String).join('.') || '(the whole brief)',
    ...(value === undefined ? {} : { value: JSON.stringify(value).slice(0, 80) }),
    reason: unknown === undefined ? (issue?.message ?? 'The brief does not fit') : 'The brief has no such entry',
    remedy: 'Change it in the brief; README.md lists every entry and what it takes under "The brief".',
  })
}

/** The brief of work without a brief: every default, the given report files. */
export function defaultBrief(layers: BriefLayers, title = 'Without a brief'): Brief {
  const input: BriefInput = { title, layers: { reports: [] } }
  return { ...completeBrief(input, title), layers }
}

function completeBrief(input: BriefInput, file: string): Brief {
  const { outline = {}, advance = {}, downstream = {} } = input
  const minReports = outline.min_reports ?? 1
  return {
    title: input.title,
    species: resolveProfile(input.species, file),
    workingCrs: input.working_crs ?? 'auto',
    layers: resolveLayers(input.layers, file),
    seasons: resolveSeasons(input.seasons ?? [], file),
    outline: {
      method: outline.method ?? 'closing',
      radius: outline.radius_m ?? 5,
      join: outline.join_m ?? 30,
      minReports,
      // Common practice, no source: where the brief says nothing, an unconfirmed patch wants a second report.
      minReportsUnconfirmed: outline.min_reports_unconfirmed ?? outline.min_reports ?? 2,
      accuracyLimit: outline.accuracy_limit_m ?? 30,
      minimumHole: outline.minimum_hole_m2 ?? 0,
      minimumArea: outline.minimum_area_m2 ?? 0,
      sliverWidth: outline.sliver_width_m ?? 0,
      largestSize: outline.largest_size_m2 ?? 100_000,
      searchRadius: outline.search_radius_m ?? 25,
      joinWaterWidth: outline.join_water_width_m ?? 30,
      bandwidth: outline.bandwidth ?? 'silverman',
      mass: outline.mass ?? 0.95,
      draws: outline.draws ?? 40,
      seed: outline.seed ?? 1,
      coverTable: DAUBENMIRE,
    },
    vet: { admit: input.vet?.admit ?? 'unblocked' },
    advance: {
      origin: advance.origin ?? 'first-patch',
      step: advance.step_m ?? 25,
      sectors: advance.sectors ?? 8,
      draws: advance.draws ?? 200,
      seed: advance.seed ?? 1,
    },
    downstream: {
      snap: downstream.snap_m ?? 2,
      isNodingCrossings: downstream.node_crossings ?? false,
      isNodingTouches: downstream.node_touches ?? false,
      repairs: (downstream.repairs ?? []).map(entry =>
        typeof entry === 'string'
          ? { id: entry, isAccepted: true }
          : { id: entry.id, isAccepted: entry.decision === 'accept' },
      ),
      bank: downstream.bank_m ?? 30,
      bankScale: downstream.bank_scale_m ?? 10,
      retentionOrdinary: downstream.retention_m?.ordinary ?? null,
      retentionFlood: downstream.retention_m?.flood ?? null,
      propagules: downstream.propagules_per_m2 ?? null,
      draws: downstream.draws ?? 200,
      seed: downstream.seed ?? 1,
    },
    plan: { personHours: input.plan?.person_hours ?? null, insects: input.plan?.insects ?? null },
    sheets: resolveSheets(input.sheets ?? [], file),
  }
}

type SheetInput = NonNullable<BriefInput['sheets']>[number]

function resolveSheets(sheets: readonly SheetInput[], file: string): SheetRequest[] {
  sheets.forEach(({ id }, i) => {
    // Names of files: some file systems take no notice of case.
    const first = sheets.findIndex(other => other.id.toLowerCase() === id.toLowerCase())
    if (first === i) return
    throw new InputError({
      code: 'brief-sheets',
      file,
      field: `sheets.${i}.id`,
      value: id,
      reason: `Two sheets are named alike: this one would overwrite sheets.${first}`,
      remedy: 'Give each sheet an id of its own.',
    })
  })
  return sheets.map(resolveSheet)
}

function resolveSheet(sheet: SheetInput): SheetRequest {
  return {
    id: sheet.id,
    kind: sheet.kind,
    page: sheet.page ?? 'letter',
    orientation: sheet.orientation ?? 'landscape',
    audience: sheet.audience ?? 'crew',
    ...(sheet.title === undefined ? {} : { title: sheet.title }),
    ...(sheet.scale === undefined ? {} : { scale: sheet.scale }),
    ...(sheet.owner === undefined ? {} : { owner: sheet.owner }),
  }
}

function resolveLayers(layers: BriefInput['layers'], file: string): BriefLayers {
  const single = SINGLE_LAYER_ROLES.flatMap(role => {
    const entry = layers[role]
    return entry === undefined ? [] : [[role, resolveSource(entry, { file, field: `layers.${role}` })] as const]
  })
  const several = (role: 'reports' | 'reference') =>
    (layers[role] ?? []).map((entry, i) => resolveSource(entry, { file, field: `layers.${role}.${i}` }))
  return {
    reports: several('reports'),
    reference: several('reference'),
    ...Object.fromEntries(single),
  }
}

function resolveSource(
  source: BriefInput['layers']['reports'][number],
  place: { readonly file: string; readonly field: string },
): LayerSource {
  if (source.crs !== undefined && findCrs(source.crs) === undefined) {
    throw new InputError({
      code: 'brief-crs',
      file: place.file,
      field: `${place.field}.crs`,
      value: source.crs.slice(0, 80),
      reason: 'The coordinate reference system is not among those that can be used',
      remedy: 'Write EPSG:4326 for degrees, or the code of a UTM zone or of a State Plane zone on NAD83.',
    })
  }
  return {
    path: source.path,
    fields: source.fields ?? {},
    dateFormat: source.date_format ?? 'auto',
    ...(source.layer === undefined ? {} : { layer: source.layer }),
    ...(source.crs === undefined ? {} : { crs: source.crs }),
  }
}

function resolveSeasons(seasons: NonNullable<BriefInput['seasons']>, file: string): Season[] {
  const sorted = seasons
    .map(season => ({
      id: season.id,
      start: season.start,
      end: season.end,
      year: /\d{4}/.test(season.id) ? Number(/\d{4}/.exec(season.id)![0]) : yearOf(season.start),
      detectable: (season.detectable ?? {}) as Season['detectable'],
    }))
    .sort((a, b) => (a.start < b.start ? -1 : 1))
  sorted.forEach((season, i) => {
    const before = sorted[i - 1]
    const fail = (reason: string, remedy: string) => {
      throw new InputError({ code: 'brief-seasons', file, field: `seasons (${season.id})`, reason, remedy })
    }
    if (season.end < season.start) fail(`Season ${season.id} ends before it starts`, 'Swap start and end.')
    if (before && season.start <= before.end)
      fail(`Seasons ${before.id} and ${season.id} overlap`, `Let ${season.id} start after ${before.end}.`)
    if (sorted.findIndex(other => other.id === season.id) !== i)
      fail(`Two seasons are named ${season.id}`, 'Give each season a name of its own.')
  })
  return sorted
}

function resolveProfile(species: BriefInput['species'], file: string): SpeciesProfile {
  if (species === undefined) return SAMPLE_VINE
  const named = (name: string) => {
    const found = PROFILES.find(profile => profile.id === name)
    if (found) return found
    throw new InputError({
      code: 'brief-species',
      file,
      field: 'species',
      value: name,
      reason: 'No species profile has this name',
      remedy: `Use one of ${PROFILES.map(profile => profile.id).join(', ')}, or write the profile out as an object.`,
    })
  }
  return typeof species === 'string' ? named(species) : mergeProfile(named(species.base ?? SAMPLE_VINE.id), species)
}

function lakeRetention(given: number | undefined, base: SpeciesProfile['retention']['lake'], source: string) {
  const lake = given === undefined ? base : { value: given, source }
  return lake === undefined ? {} : { lake }
}

function mergeProfile(base: SpeciesProfile, own: ProfileInput): SpeciesProfile {
  const source = own.source ?? 'the brief'
  const value = (given: number | undefined, fallback: SpeciesProfile['propagules']) =>
    given === undefined ? fallback : { value: given, source }
  const range = (given: readonly [number, number] | undefined, fallback: SpeciesProfile['propagulesRange']) =>
    given === undefined ? fallback : { low: given[0], high: given[1] }
  return {
    id: own.id,
    name: own.name,
    stemGrowthDay: value(own.stem_growth_day_m, base.stemGrowthDay),
    stemGrowthSeason: value(own.stem_growth_season_m, base.stemGrowthSeason),
    retention: {
      ordinary: value(own.retention_m?.ordinary, base.retention.ordinary),
      flood: value(own.retention_m?.flood, base.retention.flood),
      ...lakeRetention(own.retention_m?.lake, base.retention.lake, source),
    },
    retentionRange: {
      ordinary: range(own.retention_range_m?.ordinary, base.retentionRange.ordinary),
      flood: range(own.retention_range_m?.flood, base.retentionRange.flood),
    },
    propagules: value(own.propagules_per_m2, base.propagules),
    propagulesRange: range(own.propagules_range, base.propagulesRange),
    establishment: value(own.establishment, base.establishment),
    establishmentRange: range(own.establishment_range, base.establishmentRange),
  }
}
