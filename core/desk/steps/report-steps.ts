import type { Files } from '../../desk-view.ts'
import type { Brief, Finding, Problem, SearchedGround, Task } from '../../model/index.ts'
import { linkSeasons, outlinePatches, type SeasonOutline } from '../../outline/index.ts'
import { writePatches } from '../outputs.ts'
import { allPolygons } from '../roles.ts'
import { sightingsOf } from '../run-season.ts'
import { heldBackProblem, type Vetted, vetReports } from '../vet-reports.ts'
import { readOnGlobe, readReportFile } from './read-source.ts'

/** Reports of a file, checked. */
export async function vetFile(
  path: string,
  brief: Brief,
  files: Files,
  task: Task,
): Promise<{ vetted: Vetted; findings: readonly Finding[]; rejected: readonly Problem[]; reports: number }> {
  const { reports, rejected } = await readReportFile(path, brief, files, task)
  const boundary = brief.layers.boundary
  const area = boundary ? allPolygons((await readOnGlobe(boundary.path, files, task)).layer) : null
  const vetted = await vetReports(brief, reports, area, { rejected })
  return { vetted, findings: vetted.findings, rejected, reports: reports.length }
}

const heldFor = ({ admissions }: Vetted, { reportId, rule }: Finding): boolean =>
  admissions.some(entry => entry.reportId === reportId && entry.reason === rule)

/** Patches of every season in a report file, as GeoJSON. */
export async function outlineFile(path: string, brief: Brief, files: Files, task: Task) {
  const { vetted, rejected } = await vetFile(path, brief, files, task.part(0, 0.3))
  const outlines: SeasonOutline[] = []
  for (const [i, season] of vetted.seasons.entries()) {
    const part = task.part(0.3 + (0.7 * i) / vetted.seasons.length, 0.3 + (0.7 * (i + 1)) / vetted.seasons.length)
    const sightings = sightingsOf(vetted, season.id)
    const rest = { clearGround: [], joinBreaks: null, isComputingIntervals: brief.outline.draws > 0 }
    outlines.push(await outlinePatches({ sightings, settings: brief.outline, ...vetted.tools, ...rest }, part))
  }
  const searchedBefore: SearchedGround[] = []
  const { histories } = linkSeasons({
    patchesBySeason: outlines.map(outline => outline.patches),
    seasons: vetted.seasons,
    searchedBefore,
    treatments: [],
    engine: vetted.tools.engine,
  })
  const file = writePatches({ outlines, histories, advance: null })
  const heldBack = vetted.findings.filter(finding => finding.severity === 'blocking' && heldFor(vetted, finding))
  const singles = outlines.flatMap(outline => outline.singles)
  return {
    file,
    // A size beyond what a report can mean is a slip in the row, as a date is that cannot be read.
    rejected: [...rejected, ...heldBack.filter(({ rule }) => rule === 'size').map(heldBackProblem)],
    heldBack: vetted.admissions.filter(({ isAdmitted }) => !isAdmitted).length,
    patches: outlines.flatMap(outline => outline.patches),
    singles,
    vetted,
  }
}
