import { measureAdvance } from '../../core/advance/index.ts'
import { createPolygonEngine, type PolygonEngine } from '../../core/geo/index.ts'
import {
  createTask,
  type Find,
  type Metres,
  type OutlineSettings,
  type Patch,
  type SeasonSightings,
} from '../../core/model/index.ts'
import { linkSeasons, outlinePatches } from '../../core/outline/index.ts'
import { parseBrief } from '../../core/project/index.ts'
import { createRandom, type Random } from '../../core/stats/index.ts'
import { box, frame, profile, searchedOf, seasonOf, settings } from '../questions/advance-place.ts'
import { findAt, visitOf } from '../questions/advance-trial.ts'
import { makePatches, makeSeason, type SpreadPatch } from './spreads.ts'
import { type Row, scoreShare } from './table.ts'

export const JUMP_FINDS = [300, 600, 1200] as const
const PLANTED = 5
/** Metres: from the edge of the patch that it came from; growth of the others; half width of a jump. */
const [NEAREST, FARTHEST, GROWTH, JUMP_SIZE] = [80, 500, 15, 10]
const FINDS_A_JUMP = 3

interface JumpScore {
  planted: number
  found: number
  called: number
  wrong: number
}

/** Shares of planted jumps that are called outlier patches, and of the calls that are wrong, all ground being searched. */
export async function runJumpTrial(finds: number, runs: number): Promise<Row[]> {
  const engine = await createPolygonEngine()
  const score: JumpScore = { planted: 0, found: 0, called: 0, wrong: 0 }
  for (let run = 0; run < runs; run++) await runOnce(finds, engine, createRandom(5000 + run), score)
  const name = `jumps of ${NEAREST}-${FARTHEST} m among 40 round patches, ${finds}:${finds} finds`
  return [
    scoreShare(`${name}: found`, score.found / score.planted, score.planted, [0.9, 1]),
    scoreShare(`${name}: false among those called`, score.wrong / score.called, score.called, [0, 0.1]),
  ]
}

async function runOnce(count: number, engine: PolygonEngine, random: Random, score: JumpScore): Promise<void> {
  const patches = makePatches('round', random)
  const common = { shape: 'round', scatter: 'even', patches, count } as const
  const older = misplaced(makeSeason({ ...common, season: '2023', growth: 0 }, random), random)
  const grown = makeSeason({ ...common, season: '2024', growth: GROWTH }, random)
  const jumps = Array.from({ length: PLANTED }, (_, i) => plantJump(i, patches, random)).flat()
  const newer = misplaced({ ...grown, finds: [...grown.finds, ...jumps], visits: [] }, random)
  const seasons = [seasonOf(2023), seasonOf(2024)]
  const sightings = [older, newer]
  const patchesBySeason: (readonly Patch[])[] = []
  for (const one of sightings) {
    const input = { sightings: one, settings: outlineSettings(), frame, engine }
    const none = { clearGround: [], joinBreaks: null, isComputingIntervals: false }
    patchesBySeason.push((await outlinePatches({ ...input, ...none }, createTask())).patches)
  }
  const searched = [searchedOf('2023', box(-2000, -2000, 15_000, 12_000))]
  const { histories } = linkSeasons({ patchesBySeason, seasons, searchedBefore: searched, treatments: [], engine })
  const answer = await measureAdvance(
    {
      ...{ seasons, sightings, patchesBySeason, histories, searched, frame, engine, profile },
      ...{ waterways: null, carriers: null, settings: { ...settings, draws: 1 }, join: 60 },
    },
    createTask(),
  )
  const called = answer.outliers.filter(outlier => !outlier.isAgeUnknown)
  const reports = called.map(({ patchId }) => patchesBySeason[1]!.find(patch => patch.id === patchId)!.reportIds)
  const planted = new Set(reports.flat().flatMap(id => /^jump-(\d+)/.exec(id)?.[1] ?? []))
  score.planted += PLANTED
  score.found += planted.size
  score.called += called.length
  score.wrong += reports.filter(ids => !ids.some(id => id.startsWith('jump-'))).length
}

function plantJump(i: number, patches: readonly SpreadPatch[], random: Random): Find[] {
  const patch = patches[random.integer(patches.length)]!
  const angle = 2 * Math.PI * random.next()
  const reach = patch.size + NEAREST + (FARTHEST - NEAREST) * random.next()
  const [x, y] = [patch.x + reach * Math.cos(angle), patch.y + reach * Math.sin(angle)]
  const aside = () => JUMP_SIZE * (2 * random.next() - 1)
  return Array.from({ length: FINDS_A_JUMP }, (_, k) => findAt(`jump-${i}-${k}`, '2024', x + aside(), y + aside()))
}

/** Finds as they are reported: each with an error of its own, 5-15 m for 95 %. */
function misplaced(sightings: SeasonSightings, random: Random): SeasonSightings {
  const finds = sightings.finds.map(find => {
    const accuracy95 = 5 + 10 * random.next()
    // Of a circular normal error 95 % lie within 2.4477 standard deviations of a coordinate.
    const sd = accuracy95 / 2.4477
    return {
      ...find,
      x: find.x + sd * random.normal(),
      y: find.y + sd * random.normal(),
      accuracy95: accuracy95 as Metres,
    }
  })
  return { ...sightings, finds, visits: finds.map(visitOf) }
}

function outlineSettings(): OutlineSettings {
  const text = JSON.stringify({
    ...{ title: 'trial', species: 'sample-vine', layers: { reports: [{ path: 'trial.csv' }] } },
    outline: { radius_m: 15, join_m: 60, min_reports: 1, min_reports_unconfirmed: 1 },
  })
  return parseBrief(text, 'brief.json').outline
}
