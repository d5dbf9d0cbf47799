import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex } from '@noble/hashes/utils.js'
import type { Files } from '../desk-view.ts'
import { makeReportIdsUnique, readFile, readReports } from '../formats/index.ts'
import { type Layer, projectLayerToGlobe } from '../geo/index.ts'
import {
  type Brief,
  InputError,
  type Problem,
  type Report,
  SINGLE_LAYER_ROLES,
  type SingleLayerRole,
  type Task,
} from '../model/index.ts'
import { checkSource, readingSource, type SourceEntry } from './check-source.ts'

/** Everything that a brief names, read and placed on the globe; what could not be used is listed. */
export interface Gathered {
  readonly reports: readonly Report[]
  readonly layers: Readonly<Partial<Record<SingleLayerRole, Layer>>>
  readonly reference: readonly Layer[]
  readonly rejected: readonly Problem[]
  readonly warnings: readonly Problem[]
  readonly inputs: readonly InputFile[]
}

/** What came in, file by file. */
export interface InputFile {
  readonly role: string
  readonly name: string
  readonly sha256: string
  readonly bytes: number
  readonly features: number
  readonly rejected: number
  readonly crs: string | null
}

interface ReadSource {
  readonly layer: Layer
  readonly input: InputFile
  readonly rejected: readonly Problem[]
  readonly warnings: readonly Problem[]
}

export async function gatherBrief(brief: Brief, files: Files, task: Task): Promise<Gathered> {
  const found = sourcesOf(brief)
  const reports: Report[] = []
  const layers: Partial<Record<SingleLayerRole, Layer>> = {}
  const reference: Layer[] = []
  const rejected: Problem[] = []
  const warnings: Problem[] = []
  const inputs: InputFile[] = []
  for (const [i, entry] of found.entries()) {
    const { role, source } = entry
    await task.step(i / found.length, `Reading ${source.path}`)
    const read = await readingSource(entry, () =>
      readSource(entry, files, task.part(i / found.length, (i + 1) / found.length)),
    )
    let rejectedHere = read.rejected.length
    rejected.push(...read.rejected)
    warnings.push(...read.warnings)
    if (role === 'reports') {
      const reading = readReports(read.layer, source, { file: source.path, coverTable: brief.outline.coverTable })
      reports.push(...reading.reports)
      rejected.push(...reading.rejected)
      warnings.push(...reading.warnings)
      rejectedHere += reading.rejected.length
    } else if (role === 'reference') reference.push(read.layer)
    else layers[role as SingleLayerRole] = read.layer
    inputs.push({ ...read.input, rejected: rejectedHere })
  }
  await task.step(1, 'Layers read')
  const unique = makeReportIdsUnique(reports)
  warnings.push(...unique.warnings)
  return { reports: unique.reports, layers, reference, rejected, warnings, inputs }
}

function sourcesOf({ layers }: Brief): SourceEntry[] {
  const several = (role: 'reports' | 'reference') =>
    layers[role].map((source, i) => ({ role, path: `layers.${role}.${i}`, source }))
  const single = SINGLE_LAYER_ROLES.flatMap((role): SourceEntry[] => {
    const source = layers[role]
    return source ? [{ role, path: `layers.${role}`, source }] : []
  })
  return [...several('reports'), ...single, ...several('reference')]
}

async function readSource(entry: SourceEntry, files: Files, task: Task): Promise<ReadSource> {
  const { role, source } = entry
  const bytes = await files.read(source.path)
  const reading = await readFile(source.path, bytes, {
    ...(source.layer === undefined ? {} : { layer: source.layer }),
    ...(source.crs === undefined ? {} : { crs: source.crs }),
    task,
  })
  const raw = source.layer === undefined ? reading.layers[0] : reading.layers.find(l => l.name === source.layer)
  if (!raw) {
    throw new InputError({
      code: 'layer-missing',
      file: source.path,
      ...(source.layer === undefined ? {} : { layer: source.layer }),
      reason: source.layer === undefined ? 'The file holds no layer' : 'The file has no layer of this name',
      remedy: `It holds: ${reading.layers.map(l => l.name).join(', ') || 'nothing'}.`,
    })
  }
  checkSource(entry, raw)
  const layer = raw.kind === 'none' ? raw : projectLayerToGlobe(raw)
  const input = {
    role,
    name: source.path,
    sha256: bytesToHex(sha256(bytes)),
    bytes: bytes.length,
    features: layer.featureCount,
    rejected: 0,
    crs: raw.crs,
  }
  return { layer, input, rejected: reading.rejected, warnings: reading.warnings }
}
