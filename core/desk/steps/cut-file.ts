import type { Files } from '../../desk-view.ts'
import { readReports } from '../../formats/index.ts'
import { findColumn, type Layer, multiPolygonOf } from '../../geo/index.ts'
import {
  type Audience,
  type Brief,
  InputError,
  type LayerSource,
  type MultiPolygon,
  type Report,
  type Task,
} from '../../model/index.ts'
import { defaultBrief, parseBrief } from '../../project/index.ts'
import { cutParcels, cutPatches, cutReaches, cutReports, type LayerCut, type SharedLayer } from '../../share/index.ts'
import { type Gathered, gatherBrief } from '../gather.ts'
import { type Owners, ownersIn, withOwner } from '../privacy-facts.ts'
import { allPolygons } from '../roles.ts'
import { prepareTools } from '../tools.ts'

/** A brief with the files that it names. */
export interface CutSource {
  readonly path: string
  readonly files: Files
}

export interface CutStep {
  readonly from: string
  readonly audience: Exclude<Audience, 'crew'>
  readonly owner?: string
  readonly brief?: CutSource
}

/**
 * What an audience other than the crew may have of a file's layer: reports, parcels, patches and reaches are known by their
 * columns, and by the brief where one is given.
 * Errors: InputError for any other layer, for parcels to the public, and for an owner who has no parcel.
 */
export async function cutForAudience(layer: Layer, step: CutStep, task: Task): Promise<SharedLayer> {
  const brief = await briefOf(step)
  const gathered = step.brief ? await gatherBrief(brief, step.brief.files, task) : null
  const role = roleOf(layer, step, brief)
  const own = role === 'reports' ? reportsOf(layer, step, brief) : []
  const parcels = gathered?.layers.parcels ?? (role === 'parcels' ? layer : undefined)
  const owners = ownersIn(parcels, brief)
  const cut = await cutOf(step, brief, { gathered, own, parcels, owners, layer })
  if (role === 'reports') return cutOwnReports(own, owners, cut)
  if (role === 'patches') return cutPatches(layer, cut)
  if (role === 'reaches') return cutReaches(layer, cut)
  if (step.audience !== 'public') return cutParcels(layer, ownerColumnOf(layer, brief), cut)
  throw new InputError({
    code: 'share-parcels',
    file: step.from,
    field: 'audience',
    value: step.audience,
    reason: 'Parcels are never public: a line names its owner through the tax roll',
    remedy: 'Give --audience partner for the lines alone, or hand out a sheet.',
  })
}

function cutOwnReports(own: readonly Report[], owners: Owners | null, cut: LayerCut): SharedLayer {
  const near = withoutStrays(own)
  const { features, withheld } = cutReports(
    near.map(report => withOwner(report, owners)),
    cut,
  )
  const strays = own.length - near.length
  return {
    features,
    withheld: strays === 0 ? withheld : [{ what: 'reports far away from all others', count: strays }, ...withheld],
  }
}

async function briefOf({ brief }: CutStep): Promise<Brief> {
  if (brief === undefined) return defaultBrief({ reports: [], reference: [] })
  const name = brief.path.split(/[\\/]/).at(-1)!
  return parseBrief(new TextDecoder().decode(await brief.files.read(name)), brief.path)
}

type Role = 'reports' | 'parcels' | 'patches' | 'reaches'

const baseName = (path: string): string => path.split(/[\\/]/).at(-1)!

const reportSource = (path: string, brief: Brief): LayerSource | undefined =>
  brief.layers.reports.find(source => baseName(source.path) === baseName(path))

function roleOf(layer: Layer, step: CutStep, brief: Brief): Role {
  const has = (...names: string[]) => names.every(name => findColumn(layer, name) !== undefined)
  if (has('patch_id', 'report_ids')) return 'patches'
  if (has('reach_id', 'look')) return 'reaches'
  if (reportSource(step.from, brief) || has('date', 'found')) return 'reports'
  const parcels = brief.layers.parcels
  if ((parcels && baseName(parcels.path) === baseName(step.from)) || (layer.kind === 'polygon' && has('owner')))
    return 'parcels'
  throw new InputError({
    code: 'share-unknown-layer',
    file: step.from,
    field: 'audience',
    value: step.audience,
    reason: 'It is not known what this layer holds, so that it cannot be cut to an audience',
    remedy: 'Reports, parcels, patches and reaches can be; name the file in a brief and give it with --brief.',
  })
}

function reportsOf(layer: Layer, { from }: CutStep, brief: Brief): readonly Report[] {
  const source = reportSource(from, brief) ?? { path: from, fields: {}, dateFormat: 'auto' as const }
  return readReports(layer, source, { file: from, coverTable: brief.outline.coverTable }).reports
}

const ownerColumnOf = (layer: Layer, brief: Brief): string | null =>
  findColumn(layer, brief.layers.parcels?.fields['owner'] ?? 'owner')?.name ?? null

interface Found {
  readonly gathered: Gathered | null
  readonly own: readonly Report[]
  readonly parcels: Layer | undefined
  readonly owners: Owners | null
  readonly layer: Layer
}

async function cutOf(step: CutStep, brief: Brief, found: Found): Promise<LayerCut> {
  const { gathered, own, parcels, owners, layer } = found
  const reports = gathered?.reports ?? own
  const facts = {
    reports: new Map(reports.map(report => [report.id, withOwner(report, owners)])),
    ...(owners ? { holders: owners.holders } : {}),
    ...(step.owner === undefined ? {} : { owner: step.owner }),
  }
  return {
    audience: step.audience,
    facts,
    tools: await prepareTools(brief, placesFor(reports, layer)),
    boundary: allPolygons(gathered?.layers.boundary),
    land: step.audience === 'owner' ? landOf(step, parcels, brief) : [],
  }
}

/** Reports farther than this from the middle of all, degrees, are strays (swapped or missing coordinates). */
const STRAY = 1

/** Reports that lie where the others lie, and how many do not. */
function withoutStrays<T extends Pick<Report, 'longitude' | 'latitude'>>(reports: readonly T[]): readonly T[] {
  const middle = (values: number[]) => values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0
  const longitude = middle(reports.map(report => report.longitude))
  const latitude = middle(reports.map(report => report.latitude))
  return reports.filter(
    report => Math.abs(report.longitude - longitude) <= STRAY && Math.abs(report.latitude - latitude) <= STRAY,
  )
}

/** Positions from which a frame is chosen: the reports', else the vertices of the layer. */
function placesFor(reports: readonly Report[], { geometry }: Layer): readonly Pick<Report, 'longitude' | 'latitude'>[] {
  if (reports.length > 0) return withoutStrays(reports)
  return Array.from({ length: geometry.coords.length / 2 }, (_, i) => ({
    longitude: geometry.coords[2 * i] as Report['longitude'],
    latitude: geometry.coords[2 * i + 1] as Report['latitude'],
  }))
}

function landOf({ owner }: CutStep, parcels: Layer | undefined, brief: Brief): MultiPolygon {
  const name = parcels ? ownerColumnOf(parcels, brief) : null
  const column = parcels && name !== null ? findColumn(parcels, name) : undefined
  if (owner === undefined || parcels === undefined || column === undefined) {
    throw new InputError({
      code: 'share-no-owner',
      field: 'owner',
      reason: 'What an owner may have rests on the parcels and on whose land it is',
      remedy: 'Give --owner NAME and, with --brief, a brief that names the parcels and their owner field.',
    })
  }
  const own = Array.from({ length: parcels.featureCount }, (_, i) => i).filter(
    i => column.type === 'text' && column.values[i] === owner,
  )
  if (own.length > 0) return own.flatMap(i => [...multiPolygonOf(parcels, i)])
  throw new InputError({
    code: 'share-owner-unknown',
    field: 'owner',
    value: owner,
    reason: 'No parcel has that owner',
    remedy: 'Write the name as in the parcel layer.',
  })
}
