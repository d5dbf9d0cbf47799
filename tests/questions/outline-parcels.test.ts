import { describe, expect, it } from 'vitest'
import { geometryFromPolygons, layerOf, toGlobePolygons } from '../../core/geo/index.ts'
import { createTask, type Find, type MultiPolygon, metres } from '../../core/model/index.ts'
import { placePatchesOnParcels } from '../../core/outline/index.ts'
import { engine, find, frame, outline, square } from './outline-fixtures.ts'

const parcelLayer = (shapes: readonly MultiPolygon[]) =>
  layerOf('parcels', geometryFromPolygons(shapes.map(shape => toGlobePolygons(shape, frame))), 'EPSG:4326')

async function place(shapes: readonly MultiPolygon[], finds: readonly Find[]) {
  const { patches } = await outline(finds)
  const input = { parcels: parcelLayer(shapes), patches, finds, frame, engine }
  const { byParcel } = await placePatchesOnParcels(input, createTask())
  return { byParcel, patches }
}

/** West and east of x = 0, and one far away. */
const PARCELS = [square(-200, -100, 0, 100), square(0, -100, 200, 100), square(1000, -100, 1200, 100)]
const statuses = async (finds: readonly Find[]) =>
  (await place(PARCELS, finds)).byParcel.map(one => [one.parcel, one.status])

describe('on whose land', () => {
  it('is infested only when the whole 95 % circle of a confirmed plant lies within', async () => {
    const at = (x: number, more: Partial<Find> = {}) => [
      find('a', x, 0, { radius: metres(3), accuracy95: metres(10), ...more }),
    ]
    expect(await statuses(at(-10.5))).toEqual([[0, 'infested']])
    expect(await statuses(at(-9.5))).toEqual([
      [0, 'near'],
      [1, 'near'],
    ])
    expect(await statuses(at(-50, { hasAccuracy: false }))).toEqual([[0, 'near']])
    expect(await statuses(at(-50, { isConfirmed: false }))).toEqual([[0, 'near']])
  })

  it('counts no hole of a parcel as its land', async () => {
    const hole = Float64Array.of(-80, -30, -80, 30, -20, 30, -20, -30, -80, -30)
    const shape: MultiPolygon = [[...square(-200, -100, 0, 100)[0]!, hole]]
    const { byParcel } = await place([shape], [find('a', -50, 0, { radius: metres(3), accuracy95: metres(5) })])
    expect(byParcel).toEqual([])
  })

  it('shares the patch area between the parcels, to the whole', async () => {
    const { byParcel, patches } = await place(PARCELS, [find('a', -12, 0), find('b', 20, 5), find('c', 22, 40)])
    const shared = byParcel.reduce((sum, one) => sum + one.patchArea, 0)
    expect(byParcel.map(one => one.parcel)).toEqual([0, 1])
    expect(shared / patches[0]!.grossArea).toBeCloseTo(1, 6)
  })

  it('is near where only the outline touches', async () => {
    // The disc reaches over the line by 5 m, the 95 % circle does not.
    const finds = [find('a', -10, 0, { accuracy95: metres(8) })]
    const { byParcel } = await place(PARCELS, finds)
    expect(byParcel.map(one => [one.parcel, one.status, one.confirmedFinds])).toEqual([
      [0, 'infested', 1],
      [1, 'near', 0],
    ])
    // Circular segment: r2 acos(d / r) - d sqrt(r2 - d2), r 15, d 10.
    const segment = 225 * Math.acos(10 / 15) - 10 * Math.sqrt(125)
    expect(Math.abs(byParcel[1]!.patchArea / segment - 1)).toBeLessThan(0.01)
  })
})
