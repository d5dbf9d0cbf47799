/** Features of the map by name and by box, against an obvious oracle and hand-made cases. */
import { describe, expect, test } from 'vitest'
import { locateFeatures, namesOf } from '../../core/desk/feature-ids.ts'
import { featuresInBox } from '../../core/desk/features-in-box.ts'
import { referenceSources } from '../../core/desk/reference-sources.ts'
import type { MapLayer } from '../../core/desk-view.ts'
import { type Column, GeometryBuilder, type GeometryKind, layerOf } from '../../core/geo/index.ts'
import type { Box } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'

const text = (name: string, values: readonly (string | null)[]): Column => ({ name, type: 'text', values })
const choice = { shown: '2025', compared: '2024' }

type Rings = readonly (readonly (readonly [number, number])[])[]

function layerWith(id: MapLayer['id'], kind: GeometryKind, shapes: readonly Rings[], columns: Column[] = []): MapLayer {
  const builder = new GeometryBuilder()
  for (const rings of shapes) {
    for (const ring of rings) {
      for (const [x, y] of ring) builder.addVertex(x, y)
      builder.endRing()
    }
    if (rings.length > 0) builder.endPart()
    builder.endFeature(kind)
  }
  return { id, layer: layerOf(id, builder.build(), 'EPSG:4326', columns) }
}

const square = (x: number, y: number, side: number): [number, number][] => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
  [x, y],
]

describe('features in a box', () => {
  const box: Box = [1, 1, 3, 3]

  test('polygons: inside, around, across a corner, touching, in a hole, beside', () => {
    const layer = layerWith('parcels', 'polygon', [
      [square(1.5, 1.5, 1)],
      [square(0, 0, 9)],
      [square(2.5, 2.5, 4)],
      [square(3, 1, 1)],
      [square(-5, -5, 20), square(0, 0, 8).reverse()],
      [square(3.5, 0, 1)],
      // A slanted strip whose box meets the corner that it passes by.
      [
        [
          [2.9, 4],
          [4, 2.9],
          [4.1, 3],
          [3, 4.1],
          [2.9, 4],
        ],
      ],
      [],
    ])
    expect(featuresInBox(layer, box, choice)).toEqual([0, 1, 2, 3])
  })

  test('lines pass through without a vertex inside; points count on the edge', () => {
    const lines = layerWith('reaches', 'line', [
      [
        [
          [0, 2],
          [9, 2],
        ],
      ],
      [
        [
          [0, 3.5],
          [0.5, 9],
          [9, 9],
        ],
      ],
      [
        [
          [0, 3.5],
          [3.5, 0],
        ],
      ],
    ])
    expect(featuresInBox(lines, box, choice)).toEqual([0, 2])
    const points = layerWith('carriers', 'point', [[[[1, 2]]], [[[3.01, 2]]], [[[3, 3]]]])
    expect(featuresInBox(points, box, choice)).toEqual([0, 2])
  })

  test('only features of the seasons chosen, and a column called season in a file is no season', () => {
    const spots: Rings[] = ['2023', '2024', '2025'].map((_, i) => [[[1.5 + i / 2, 2]]])
    const seasons = [text('season', ['2023', '2024', '2025'])]
    expect(featuresInBox(layerWith('finds', 'point', spots, seasons), box, choice)).toEqual([1, 2])
    expect(featuresInBox(layerWith('reference', 'point', spots, seasons), box, choice)).toEqual([0, 1, 2])
  })

  test('random segments agree with a walk along them in 20,000 steps', () => {
    const random = createRandom(8)
    for (let i = 0; i < 60; i++) {
      const [ax, ay, bx, by] = [0, 0, 0, 0].map(() => random.next() * 5 - 0.5) as [number, number, number, number]
      const isMet = Array.from({ length: 20_001 }, (_, s) => s / 20_000).some(share => {
        const [x, y] = [ax + share * (bx - ax), ay + share * (by - ay)]
        return x >= 1 && x <= 3 && y >= 1 && y <= 3
      })
      const layer = layerWith('reaches', 'line', [
        [
          [
            [ax, ay],
            [bx, by],
          ],
        ],
      ])
      expect(featuresInBox(layer, box, choice).length, `${ax} ${ay} ${bx} ${by}`).toBe(isMet ? 1 : 0)
    }
  })
})

describe('features by name', () => {
  const brief = { brief: { layers: { parcels: { fields: { id: 'PIN' } } } } } as unknown as Parameters<
    typeof locateFeatures
  >[0]
  const patches = layerWith(
    'patches',
    'polygon',
    [0, 1, 2].map(x => [square(x, 0, 0.5)]),
    [text('id', ['P1', 'P1', 'P2']), text('season', ['2024', '2025', '2024'])],
  )

  test('a patch goes by season and id; without a season the shown one is meant, then the compared one', () => {
    expect(locateFeatures(brief, patches, ['2024/P1'], choice).fids).toEqual([0])
    expect(locateFeatures(brief, patches, ['P1', 'P2'], choice).fids).toEqual([1, 2])
    expect(locateFeatures(brief, patches, ['2024/P2', '2025/P1', 'P9'], choice)).toEqual({
      fids: [1, 2],
      box: [1, 0, 2.5, 0.5],
    })
    expect(locateFeatures(brief, patches, ['P1'], { shown: '2023', compared: null }).fids).toEqual([])
  })

  test('parcels go by the id field of the brief, a missing one by its number; the same name may be borne twice', () => {
    const parcels = layerWith(
      'parcels',
      'polygon',
      [0, 1, 2].map(x => [square(x, 0, 0.5)]),
      [text('PIN', ['07-1', null, '07-1'])],
    )
    const nameOf = namesOf(brief, 'parcels', parcels.layer)
    expect([0, 1, 2].map(nameOf)).toEqual(['07-1', '2', '07-1'])
    expect(locateFeatures(brief, parcels, ['07-1'], choice).fids).toEqual([0, 2])
  })

  test('a feature without a place is found and has no box', () => {
    const finds = layerWith('finds', 'point', [[]], [text('id', ['V1']), text('season', ['2025'])])
    expect(locateFeatures(brief, finds, ['V1'], choice)).toEqual({ fids: [0], box: null })
  })
})

test('reference files keep the order of the brief under names of their own', () => {
  const { layer } = layerWith('reference', 'line', [
    [
      [
        [0, 0],
        [1, 1],
      ],
    ],
  ])
  const state = {
    brief: { layers: { reference: [{ path: 'a/roads.geojson' }, { path: 'b/roads.zip' }, { path: 'rail.geojson' }] } },
    gathered: { reference: [layer, layer, layer] },
  } as unknown as Parameters<typeof referenceSources>[0]
  expect(referenceSources(state).map(source => source.name)).toEqual(['roads', 'roads 2', 'rail'])
})
