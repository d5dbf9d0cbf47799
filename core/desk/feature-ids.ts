import type { LocatedFeatures, MapLayer, MapLayerId, SeasonChoice } from '../desk-view.ts'
import { columnValue, findColumn, type Layer } from '../geo/index.ts'
import type { Box } from '../model/index.ts'
import { boxOfFeature } from './feature-box.ts'
import type { DeskState } from './state.ts'

/**
 * The name of each feature of a layer, the same on cards, in tables and in the selections of answers: `season/id` for
 * patches, the report's id for finds, the id field for parcels, else the number from 1.
 */
export function namesOf({ brief }: Pick<DeskState, 'brief'>, id: MapLayerId, layer: Layer): (fid: number) => string {
  const text = (name: string) => {
    const column = findColumn(layer, name)
    return (fid: number) => {
      const value = column ? columnValue(column, fid) : null
      return value === null || value === '' ? String(fid + 1) : String(value)
    }
  }
  if (id === 'patches') {
    const [season, name] = [text('season'), text('id')]
    return fid => `${season(fid)}/${name(fid)}`
  }
  if (id === 'parcels') return text(brief.layers.parcels?.fields['id'] ?? layer.columns[0]?.name ?? '')
  if (id === 'finds' || id === 'clear') return text('id')
  return fid => String(fid + 1)
}

/** Features by their names, in the layer's order; a patch named without its season is one of the season shown, else of the compared one. */
export function locateFeatures(
  state: Pick<DeskState, 'brief'>,
  { id, layer }: MapLayer,
  names: readonly string[],
  choice: SeasonChoice,
): LocatedFeatures {
  const nameOf = namesOf(state, id, layer)
  const byName = new Map<string, number[]>()
  for (let fid = 0; fid < layer.featureCount; fid++) {
    const name = nameOf(fid)
    const same = byName.get(name)
    if (same) same.push(fid)
    else byName.set(name, [fid])
  }
  const seasons = id === 'patches' ? [choice.shown, choice.compared] : []
  const found = names.flatMap(
    name =>
      byName.get(name) ?? seasons.map(season => byName.get(`${season}/${name}`)).find(fids => fids !== undefined) ?? [],
  )
  const fids = [...new Set(found)].sort((a, b) => a - b)
  return { fids, box: boxOfFeatures(layer, fids) }
}

function boxOfFeatures(layer: Layer, fids: readonly number[]): Box | null {
  let all: Box | null = null
  for (const fid of fids) {
    const [west, south, east, north] = boxOfFeature(layer, fid)
    if (west > east) continue
    all = all
      ? [Math.min(all[0], west), Math.min(all[1], south), Math.max(all[2], east), Math.max(all[3], north)]
      : [west, south, east, north]
  }
  return all
}
