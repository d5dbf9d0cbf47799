import { describe, expect, it } from 'vitest'
import { outlineWholeExtents } from '../../core/desk/whole-extents.ts'
import { createPolygonEngine, planarArea } from '../../core/geo/index.ts'
import { createTask } from '../../core/model/index.ts'
import { outlinePatches } from '../../core/outline/index.ts'
import { parseBrief } from '../../core/project/index.ts'
import { box, frame, seasonOf } from './advance-place.ts'
import { findAt, visitOf } from './advance-trial.ts'

describe('extents before ground was cut out', () => {
  const finds = [0, 40, 80].map((x, i) => findAt(`r${i}`, '2024', x, 0))
  const sightings = { season: '2024', finds, visits: finds.map(visitOf) }
  const briefText = JSON.stringify({ title: 't', species: 'sample-vine', layers: { reports: [{ path: 'r.csv' }] } })
  const settings = parseBrief(briefText, 'brief.json').outline
  const clearGround = [{ date: '2024-09-01', planar: box(20, -50, 40, 100) }]

  it('hold the ground that was searched clear later, which the patch has lost', async () => {
    const engine = await createPolygonEngine()
    const common = { settings, frame, engine }
    const cut = await outlinePatches(
      { sightings, ...common, clearGround, joinBreaks: null, isComputingIntervals: false },
      createTask(),
    )
    const whole = await outlinePatches(
      { sightings, ...common, clearGround: [], joinBreaks: null, isComputingIntervals: false },
      createTask(),
    )
    const warned: string[] = []
    const extents = await outlineWholeExtents(
      { seasons: [seasonOf(2024)], sightingsOf: () => sightings, ...common, hasCuts: true },
      createTask({ onWarning: code => void warned.push(code) }),
    )
    const area = (patches: readonly { planar: ReturnType<typeof box> }[]) =>
      patches.reduce((sum, patch) => sum + planarArea(patch.planar), 0)
    expect(area(cut.patches)).toBeLessThan(area(whole.patches) - 500)
    expect(planarArea(extents![0]!)).toBeCloseTo(area(whole.patches), 6)
    expect(warned).toEqual([])
  })

  it('are not drawn again where nothing could be cut out', async () => {
    const engine = await createPolygonEngine()
    const input = { seasons: [seasonOf(2024)], sightingsOf: () => sightings, settings, frame, engine, hasCuts: false }
    expect(await outlineWholeExtents(input, createTask())).toBeUndefined()
  })
})
