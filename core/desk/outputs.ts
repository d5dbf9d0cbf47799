import { advanceJson } from '../advance/index.ts'
import { type WritableFeature, writeCsv, writeGeoJson } from '../formats/index.ts'
import type { ParcelAtRisk, ReachNetwork } from '../model/index.ts'
import { patchProperties } from '../outline/index.ts'
import { reachRow } from './reach-table.ts'
import type { SeasonRun } from './run-season.ts'

/** The files of a run that other tools read, by name. Figures are never rounded. */
export function resultFiles(run: SeasonRun): Map<string, Uint8Array> {
  const files = new Map<string, Uint8Array>()
  files.set('patches.geojson', writePatches(run))
  files.set('advance.json', writeJson(advanceJson(run.advance, run.notSeen)))
  if (run.network !== null) files.set('reaches.geojson', writeReaches(run.network, run))
  files.set('parcels-at-risk.csv', writeParcelsAtRisk(run.parcelsAtRisk))
  return files
}

export const writeJson = (value: unknown): Uint8Array => new TextEncoder().encode(`${JSON.stringify(value, null, 2)}\n`)

/** Patches of every season; `advance` null where no outliers were looked for. */
export function writePatches(
  run: Pick<SeasonRun, 'outlines' | 'histories'> & { readonly advance: SeasonRun['advance'] | null },
): Uint8Array {
  const features = run.outlines.flatMap(({ patches }) =>
    patches.map(patch => {
      const history = run.histories.find(h => h.season === patch.season && h.patchId === patch.id) ?? null
      const far = run.advance?.outliers.find(o => o.season === patch.season && o.patchId === patch.id) ?? null
      return {
        geometry: { kind: 'polygon', shape: patch.outline },
        properties: { ...patchProperties(patch, history, far) },
      } satisfies WritableFeature
    }),
  )
  return writeGeoJson({ features })
}

/** Reaches with the newest answered season's load. */
export function writeReaches(network: ReachNetwork, { downstream }: Pick<SeasonRun, 'downstream'>): Uint8Array {
  const answer = newestAnswer(downstream)
  const features = Array.from(
    { length: network.reachCount },
    (_, reach): WritableFeature => ({
      geometry: { kind: 'line', paths: [reachPath(network, reach)] },
      properties: reachRow(network, answer, reach),
    }),
  )
  return writeGeoJson({ features })
}

export const newestAnswer = (downstream: SeasonRun['downstream']) =>
  downstream.filter(answer => answer !== null).at(-1) ?? null

export const reachPath = (network: ReachNetwork, reach: number): Float64Array =>
  network.coords.subarray(network.vertexOffsets[reach]! * 2, network.vertexOffsets[reach + 1]! * 2)

/** Patches and their shares in one cell, the largest first, the rest together last: `P1 0.62; P2 0.3; rest 0.08`. */
function sourceList(sources: NonNullable<ParcelAtRisk['sources']>): string | null {
  if (sources.length === 0) return null
  const rest = 1 - sources.reduce((sum, { share }) => sum + share, 0)
  const listed = sources.map(({ patchId, share }) => `${patchId} ${share.toPrecision(3)}`)
  return [...listed, ...(rest > 5e-4 ? [`rest ${rest.toPrecision(3)}`] : [])].join('; ')
}

export function writeParcelsAtRisk(parcels: readonly ParcelAtRisk[]): Uint8Array {
  const column = (name: string, of: (parcel: ParcelAtRisk) => string | number | null) => ({
    name,
    values: parcels.map(of),
  })
  return writeCsv([
    column('parcel_id', parcel => parcel.parcelId),
    column('status', parcel => parcel.status),
    column('confirmed_finds', parcel => parcel.confirmedFinds),
    column('patch_area_m2', parcel => parcel.patchArea),
    column('bank_length_m', parcel => parcel.bankLength),
    column('look', parcel => (parcel.look === 'none' ? null : parcel.look)),
    column('flood_look', parcel => (parcel.floodLook === 'none' ? null : parcel.floodLook)),
    column('arrival_chance', parcel => parcel.arrivalChance),
    column('main_source', parcel => parcel.mainSource),
    column('sources', parcel => sourceList(parcel.sources ?? [])),
  ])
}
