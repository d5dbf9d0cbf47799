import { expect, it } from 'vitest'
import { createTask } from '../../core/model/index.ts'
import { buildNetwork } from '../../core/network/index.ts'
import { check } from './check.ts'
import { linesLayer, placeAt } from './network-lines.ts'
import values from './values/network.json' with { type: 'json' }

/**
 * Source: Strahler (1957) Trans. AGU 38:913-920; Shreve (1966) J. Geol. 74:17-37; the 13-edge example of values/network.json
 * is constructed, its orders follow from the two definitions by hand.
 */
const example = values.checks.find(check => check.id === 'stream-orders')! as unknown as {
  input: { edges_id_from_to_len_m: [number, string, string, number][] }
  expected: { strahler: Record<string, number>; shreve: Record<string, number>; stream_counts: Record<string, number> }
}

const places: Record<string, [number, number]> = {
  o: placeAt(0, 0),
  e: placeAt(0, 3000),
  d: placeAt(0, 5500),
  c: placeAt(0, 7500),
  a: placeAt(-1000, 8700),
  b: placeAt(900, 8400),
  f: placeAt(900, 3800),
  h1: placeAt(-1900, 9500),
  h2: placeAt(-1000, 9600),
  h3: placeAt(700, 9000),
  h4: placeAt(1500, 9000),
  h5: placeAt(700, 5600),
  h6: placeAt(1300, 4200),
  h7: placeAt(1300, 3800),
}

const lines = example.input.edges_id_from_to_len_m.map(([id, from, to]) => ({
  path: [places[from]!, places[to]!],
  attributes: { id: String(id) },
}))

const ordersByLine = async (layer: ReturnType<typeof linesLayer>) => {
  const network = await buildNetwork(
    { lines: layer, fields: {}, snap: 2, isNodingCrossings: false, outlets: [] },
    createTask(),
  )
  const strahler: Record<string, number> = {}
  const shreve: Record<string, number> = {}
  for (let r = 0; r < network.reachCount; r++) {
    strahler[network.lines[network.line[r]!]!.id] = network.strahler[r]!
    shreve[network.lines[network.line[r]!]!.id] = network.shreve[r]!
  }
  return { strahler, shreve, network }
}

it('gives the Strahler orders and Shreve magnitudes of the example', async () => {
  const { strahler, shreve, network } = await ordersByLine(linesLayer(lines))
  expect(network.reachCount).toBe(13)
  expect(strahler).toEqual(example.expected.strahler)
  expect(shreve).toEqual(example.expected.shreve)
  const inOrder = (orders: Record<string, number>) => example.input.edges_id_from_to_len_m.map(([id]) => orders[id])
  const both = [
    ['Strahler orders of 13 reaches', 'Strahler (1957), definition by hand', example.expected.strahler, strahler],
    ['Shreve magnitudes of 13 reaches', 'Shreve (1966), definition by hand', example.expected.shreve, shreve],
  ] as const
  for (const [what, source, expected, got] of both)
    check({ what, source, expected: inOrder(expected).join(''), got: inOrder(got).join('') })
  expect(network.problems).toEqual([])
})

it('gives the same orders when the lines come in another order and are drawn upstream with the attribute against', async () => {
  const turned = [...lines].reverse().map(({ path, attributes }) => ({
    path: [...path].reverse(),
    attributes: { ...attributes, direction: 'AGAINST' },
  }))
  const { strahler, shreve } = await ordersByLine(linesLayer(turned))
  expect(strahler).toEqual(example.expected.strahler)
  expect(shreve).toEqual(example.expected.shreve)
})

it('keeps order and magnitude through a braid that closes again', async () => {
  const braid = [
    { path: [placeAt(-100, 900), placeAt(0, 800)] },
    { path: [placeAt(100, 900), placeAt(0, 800)] },
    { path: [placeAt(0, 800), placeAt(0, 600)] },
    { path: [placeAt(0, 600), placeAt(-60, 500), placeAt(0, 400)] },
    { path: [placeAt(0, 600), placeAt(60, 500), placeAt(0, 400)] },
    { path: [placeAt(0, 400), placeAt(0, 0)] },
  ]
  const { network } = await ordersByLine(linesLayer(braid))
  expect([...network.strahler]).toEqual([1, 1, 2, 2, 2, 2])
  expect([...network.shreve]).toEqual([1, 1, 2, 1, 1, 2])
})
