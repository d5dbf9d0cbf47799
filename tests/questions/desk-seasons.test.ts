/** What the window draws and says follows the seasons chosen: legend rows, arrows, jumps and the order of what is found. */
import { describe, expect, test } from 'vitest'
import { findPlaces } from '../../core/desk/find-places.ts'
import { buildLegend } from '../../core/desk/legends.ts'
import type { MapLayer, MapLayerId } from '../../core/desk-view.ts'
import { type Column, geometryFromPoints, layerOf } from '../../core/geo/index.ts'

const SEASONS = ['2021', '2022', '2023', '2024']
const known = { all: SEASONS, newestWater: '2024' }

function layerWith(id: MapLayerId, columns: Readonly<Record<string, readonly string[]>>): MapLayer {
  const count = Object.values(columns)[0]!.length
  const points = Array.from({ length: count }, (_, i): [number, number] => [i, 0])
  const text = Object.entries(columns).map(([name, values]): Column => ({ name, type: 'text', values }))
  return { id, layer: layerOf(id, geometryFromPoints(points), 'EPSG:4326', text) }
}

const patches = layerWith('patches', {
  id: ['P1', 'P1', 'P1', 'P1', 'P10'],
  season: ['2021', '2022', '2023', '2024', '2024'],
  outlier: ['', 'jump', '', 'jump', 'far'],
})
const arrows = layerWith('arrows', { from: ['2021', '2022'], to: ['2022', '2023'] })
const reaches = layerWith('reaches', { 'look/2021': ['first'], 'look/2022': ['low'], 'flood_look/2022': ['first'] })
const parcels = layerWith('parcels', { season: ['1998'], status: ['infested'] })
const layers = [patches, arrows, reaches, parcels]

const legendOf = (question: 'advance' | 'downstream', shown: string, compared: string | null) =>
  buildLegend(question, { shown, compared }, layers, known)

describe('arrows belong to the two seasons chosen', () => {
  test.each([
    ['2022', '2021', '2022'],
    ['2021', '2022', '2022'],
    ['2023', null, '2023'],
  ])('%s beside %s: those to %s', (shown, compared, to) => {
    const { rows, notes } = legendOf('advance', shown, compared)
    expect(rows.filter(row => row.layer === 'arrows').map(row => row.season)).toEqual([to])
    expect(notes).toEqual([])
  })

  test('none between seasons that are not in a row, and none where no family moved clearly; the legend says so', () => {
    for (const [shown, compared, word] of [
      ['2023', '2021', 'in a row'],
      ['2024', '2023', 'twice its error'],
    ] as const) {
      const { rows, notes } = legendOf('advance', shown, compared)
      expect(rows.some(row => row.layer === 'arrows')).toBe(false)
      expect(notes.join()).toContain(word)
    }
    expect(legendOf('advance', '2021', null).notes).toEqual([])
  })
})

test('signs of outliers stand for every season that the answer counts jumps of', () => {
  const { rows } = legendOf('advance', '2021', '2024')
  const jumps = rows.find(row => row.symbol === 'patch-outlier')
  expect(jumps?.label).toBe('outlier patches, 2022–2024')
  expect(jumps?.seasons).toEqual(['2022', '2024'])
  expect(rows.find(row => row.symbol === 'patch-far')).toMatchObject({ season: '2024' })
  expect(legendOf('advance', '2023', '2022').rows.some(row => row.symbol === 'patch-outlier')).toBe(false)
})

test('looks at reaches are of the season shown, marks on parcels of the newest one', () => {
  const looks = (shown: string) =>
    legendOf('downstream', shown, null)
      .rows.filter(row => /^(look|flood)-/.test(row.symbol))
      .map(row => row.label)
  expect(looks('2021')).toEqual(['look first, 2021'])
  expect(looks('2022')).toEqual(['low, 2022', 'look first, flood, 2022'])
  expect(looks('2023')).toEqual([])
  const parcelRow = legendOf('downstream', '2021', null).rows.find(row => row.symbol === 'parcel-infested')
  expect(parcelRow?.label).toBe('parcels, infested, 2024')
})

test('of patches with one name, that of the season shown comes first, then that of the compared one', () => {
  const order = (shown: string, compared: string | null) =>
    findPlaces('p1', layers, { shown, compared }).map(hit => hit.label)
  expect(order('2023', '2022').slice(0, 2)).toEqual(['Patch P1, 2023', 'Patch P1, 2022'])
  expect(order('2024', null)).toEqual([
    'Patch P1, 2024',
    'Patch P1, 2021',
    'Patch P1, 2022',
    'Patch P1, 2023',
    'Patch P10, 2024',
  ])
})
