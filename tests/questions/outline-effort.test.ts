import { describe, expect, it } from 'vitest'
import { buildSearchedGround, clearGroundOf, effortGrid, isSearched } from '../../core/effort/index.ts'
import { createTask, metres } from '../../core/model/index.ts'
import { engine, frame, SETTINGS, square, visit } from './outline-fixtures.ts'

const base = { settings: SETTINGS, boundary: null, frame, engine, searchedAreas: [] }

describe('searched ground', () => {
  it('is the union of visit discs and searched areas, by season', async () => {
    const sightings = [
      {
        season: '2023',
        finds: [],
        visits: [visit('a', 0, 0), visit('b', 0, 0), visit('c', 100, 0, { extent: metres(40), hasExtent: true })],
      },
      { season: '2024', finds: [], visits: [] },
    ]
    const searchedAreas = [{ season: '2024', planar: square(0, 0, 100, 50) }]
    const [first, second] = await buildSearchedGround({ ...base, sightings, searchedAreas }, createTask())
    expect(first!.area / (Math.PI * (25 ** 2 + 40 ** 2))).toBeCloseTo(1, 6)
    expect([first!.visits, second!.visits]).toEqual([3, 0])
    expect(second!.area).toBeCloseTo(5000, 1)
    expect([isSearched(first!, 20, 0), isSearched(first!, 40, 0), isSearched(second!, 50, 25)]).toEqual([
      true,
      false,
      true,
    ])
  })

  it('gives the share of the boundary, ground outside it not counted', async () => {
    const sightings = [{ season: '2024', finds: [], visits: [] }]
    const searchedAreas = [{ season: '2024', planar: square(-100, 0, 50, 100) }]
    const [ground] = await buildSearchedGround(
      { ...base, sightings, searchedAreas, boundary: square(0, 0, 200, 100) },
      createTask(),
    )
    expect(ground!.share).toBeCloseTo(0.25, 9)
  })

  it('is the same for any order of visits', async () => {
    const visits = Array.from({ length: 1200 }, (_, i) => visit(`v${i}`, (i * 37) % 900, (i * 91) % 700))
    const run = (list: typeof visits) =>
      buildSearchedGround({ ...base, sightings: [{ season: '2024', finds: [], visits: list }] }, createTask())
    expect(JSON.stringify(await run([...visits].reverse()))).toBe(JSON.stringify(await run(visits)))
  })
})

it('clear ground is what was looked at with an extent and found clear', () => {
  const visits = [
    visit('a', 0, 0, { hasExtent: true, extent: metres(10) }),
    visit('b', 0, 0),
    visit('c', 0, 0, { hasExtent: true, isFound: true }),
  ]
  const ground = clearGroundOf({ season: '2024', finds: [], visits })
  expect(ground.map(one => one.date)).toEqual(['2024-06-01'])
})

it('the grid counts visits from the north-west, edges included, others left out', () => {
  const visits = [visit('nw', 0, 100), visit('se', 200, 0), visit('mid', 100, 50), visit('out', 201, 50)]
  const grid = effortGrid({ sightings: { season: '2024', finds: [], visits }, box: [0, 0, 200, 100], cell: 100 })
  expect(grid).toEqual({ columns: 2, rows: 1, cellSize: 100, visits: [1, 2] })
})
