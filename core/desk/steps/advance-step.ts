import { advanceJson, measureAdvance } from '../../advance/index.ts'
import type { Files } from '../../desk-view.ts'
import { buildSearchedGround } from '../../effort/index.ts'
import { chooseWorkingFrame, createPolygonEngine } from '../../geo/index.ts'
import { type Brief, InputError, type Patch, type Problem, type Season, type Task } from '../../model/index.ts'
import { linkSeasons } from '../../outline/index.ts'
import { vetReports } from '../vet-reports.ts'
import { layerOfKind, patchesOfLayer } from './patch-file.ts'
import { readOnGlobe, readReportFile } from './read-source.ts'

export interface AdvanceStep {
  readonly patches: string
  readonly reports?: string
}

/** Front measures of a patch file over its seasons; with dated reports the edge move too. */
export async function advanceOfFile(step: AdvanceStep, brief: Brief, files: Files, task: Task) {
  const { layers, rejected } = await readOnGlobe(step.patches, files, task.part(0, 0.2))
  const layer = layerOfKind(layers, 'polygon', step.patches)
  const dated =
    step.reports === undefined ? null : await readReportFile(step.reports, brief, files, task.part(0.2, 0.3))
  const frame = chooseWorkingFrame(layer.geometry.coords)
  const patches = patchesOfLayer(layer, frame, step.patches)
  const seasons = seasonsOfPatches(patches, brief, step.patches)
  const vetted = dated
    ? await vetReports({ ...brief, seasons }, dated.reports, null, {
        tools: { frame, engine: await createPolygonEngine() },
      })
    : null
  const engine = vetted?.tools.engine ?? (await createPolygonEngine())
  const patchesBySeason = seasons.map(season => patches.filter(patch => patch.season === season.id))
  const sightings = vetted?.sightings ?? []
  const searched = vetted
    ? await buildSearchedGround(
        { sightings, searchedAreas: [], settings: brief.outline, boundary: null, frame, engine },
        task.part(0.3, 0.4),
      )
    : []
  const { histories, notSeen } = linkSeasons({
    patchesBySeason,
    seasons,
    searchedBefore: searched,
    treatments: [],
    engine,
  })
  const settings = brief.advance
  const rest = { waterways: null, carriers: null, settings, join: brief.outline.join, profile: brief.species }
  const answer = await measureAdvance(
    { seasons, sightings, patchesBySeason, histories, searched, frame, engine, ...rest },
    task.part(0.4, 1),
  )
  const problems: readonly Problem[] = [...rejected, ...(dated?.rejected ?? [])]
  return { json: advanceJson(answer, notSeen), rejected: problems }
}

/** The brief's seasons where they hold the file's, else a calendar year for each label that names one. */
function seasonsOfPatches(patches: readonly Patch[], brief: Brief, file: string): Season[] {
  const labels = [...new Set(patches.map(patch => patch.season))].sort()
  if (brief.seasons.length > 0 && labels.every(label => brief.seasons.some(season => season.id === label)))
    return [...brief.seasons]
  return labels
    .map(label => {
      const year = /\d{4}/.exec(label)?.[0]
      if (!year) {
        throw new InputError({
          code: 'season-label',
          file,
          field: 'season',
          value: label,
          reason: 'A season must be a year or a label that holds one',
          remedy: 'Write the season as 2025, or give a brief that names its dates.',
        })
      }
      return { id: label, start: `${year}-01-01`, end: `${year}-12-31`, year: Number(year), detectable: {} }
    })
    .sort((a, b) => a.year - b.year)
}
