import { columnValue, createBoxIndex, findColumn, isInside, type Layer, multiPolygonOf } from '../geo/index.ts'
import type { Brief, Report, SheetRequest } from '../model/index.ts'
import type { OwnedPoint, PrivacyFacts, SharedReport } from '../share/index.ts'
import { boxOfFeature } from './feature-box.ts'
import type { DeskState } from './state.ts'

/** What a sheet's cut rests on: each report's consent and the owner of the ground it lies on. */
export function privacyFacts({ gathered, brief }: DeskState, request: SheetRequest): PrivacyFacts {
  const owners = ownersIn(gathered.layers.parcels, brief)
  return {
    reports: new Map(gathered.reports.map(report => [report.id, withOwner(report, owners)])),
    ...(owners ? { holders: owners.holders } : {}),
    ...(request.owner === undefined ? {} : { owner: request.owner }),
  }
}

/** A report with the owner of its ground. */
export const withOwner = <T extends Pick<Report, 'longitude' | 'latitude' | 'consent'>>(
  report: T,
  owners: Owners | null,
): T & SharedReport => ({ ...report, ownerId: owners?.at(report.longitude, report.latitude) ?? null })

/** Owners by place; null without parcels. */
export const ownersIn = (parcels: Layer | undefined, { layers }: Pick<Brief, 'layers'>): Owners | null =>
  parcels ? ownersOf(parcels, layers.parcels?.fields['owner'], layers.parcels?.fields['id']) : null

export interface Owners {
  readonly holders: readonly OwnedPoint[]
  at(longitude: number, latitude: number): string | null
}

function ownersOf(parcels: Layer, ownerField: string | undefined, idField: string | undefined): Owners {
  const column = findColumn(parcels, ownerField ?? 'owner') ?? (idField ? findColumn(parcels, idField) : undefined)
  // Without owner names each parcel counts as an owner of its own.
  const ownerOf = (feature: number) => String((column && columnValue(column, feature)) ?? `parcel ${feature + 1}`)
  const withShape = Array.from({ length: parcels.featureCount }, (_, i) => i).filter(
    i => parcels.geometry.kinds[i] === 3,
  )
  const boxes = withShape.map(i => boxOfFeature(parcels, i))
  const index = createBoxIndex(Float64Array.from(boxes.flat()))
  return {
    holders: withShape.map((feature, k) => {
      const [west, south, east, north] = boxes[k]!
      return { longitude: (west + east) / 2, latitude: (south + north) / 2, ownerId: ownerOf(feature) }
    }),
    at(longitude, latitude) {
      const near = index.search([longitude, latitude, longitude, latitude])
      const hit = near.find(k => isInside(multiPolygonOf(parcels, withShape[k]!), longitude, latitude))
      return hit === undefined ? null : ownerOf(withShape[hit]!)
    },
  }
}
