import { describe, expect, it } from 'vitest'
import { describeReading, readFile } from '../../core/formats/index.ts'

type Ring = readonly (readonly [number, number])[]

const collection = (...rings: Ring[]) =>
  new TextEncoder().encode(
    JSON.stringify({
      type: 'FeatureCollection',
      features: rings.map(ring => ({
        type: 'Feature',
        properties: {},
        geometry: { type: 'Polygon', coordinates: [ring] },
      })),
    }),
  )
const SQUARE: Ring = [
  [0, 0],
  [0.001, 0],
  [0.001, 0.001],
  [0, 0.001],
  [0, 0],
]
/** Two equal lobes: their areas cancel. */
const BOW: Ring = [
  [0, 0],
  [0.001, 0.001],
  [0.001, 0],
  [0, 0.001],
  [0, 0],
]
/** Touches itself at one vertex, which OGC 06-103r4, 6.1.11.1 does not let a ring do, but no lobe counts against another. */
const PINCHED: Ring = [
  [0, 0],
  [0.001, 0],
  [0.0005, 0.0005],
  [0.001, 0.001],
  [0, 0.001],
  [0.0005, 0.0005],
  [0, 0],
]

describe('what a file holds', () => {
  it('warns of a polygon that crosses itself, by its row', async () => {
    const { layers, warnings } = describeReading(await readFile('a.geojson', collection(SQUARE, BOW, PINCHED)))
    expect(layers[0]!.area_m2).toBeGreaterThan(12_000)
    expect(warnings).toMatchObject([{ code: 'polygon-self-crossing', layer: 'a', row: 2 }])
    const alone = describeReading(await readFile('a.geojson', collection(BOW)))
    expect(alone.layers[0]!.area_m2).toBeCloseTo(0, 6)
    expect(alone.warnings).toHaveLength(1)
  })

  it('tells a crossing from none in long rings', async () => {
    const round = (count: number): [number, number][] =>
      Array.from({ length: count + 1 }, (_, i) => {
        const angle = (2 * Math.PI * (i % count)) / count
        return [0.01 * Math.cos(angle), 0.01 * Math.sin(angle)]
      })
    const simple = round(5000)
    const crossed = round(5000)
    const [a, b] = [crossed[100]!, crossed[101]!]
    crossed[100] = b
    crossed[101] = a
    const { warnings } = describeReading(await readFile('a.geojson', collection(simple, crossed)))
    expect(warnings).toMatchObject([{ code: 'polygon-self-crossing', row: 2 }])
  })
})
