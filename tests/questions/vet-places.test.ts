import { describe, expect, it } from 'vitest'
import { measureDistance } from '../../core/geo/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { createInsideTest } from '../../core/vet/rules/inside-test.ts'
import { at, check, report, told } from './vet-fixtures.ts'

describe('checks on places and copies', () => {
  it('blocks the later copy: same recorder, day and place within 1 m', () => {
    const first = report('1')
    const metre = 1 / 111_000
    const copies = [
      report('2', { ...at(first.longitude, first.latitude + 0.8 * metre), recorder: ' Plot  7' }),
      report('3', { ...at(first.longitude, first.latitude + 3 * metre) }),
      report('4', { ...at(first.longitude, first.latitude), recorder: 'plot 8' }),
      report('5', { ...at(first.longitude, first.latitude), date: '2024-07-02' }),
      report('6', { ...at(first.longitude, first.latitude), evidence: 'propagule' }),
      report('7', { ...at(first.longitude, first.latitude), isFound: false }),
    ]
    const findings = check([...copies, first])
    expect(told(findings)).toEqual([
      ['2', 'duplicate', 'blocking'],
      ['3', 'near-duplicate', 'note'],
      ['4', 'near-duplicate', 'note'],
      ['6', 'near-duplicate', 'note'],
      ['7', 'near-duplicate', 'note'],
    ])
    expect(findings[0]!.reason).toMatch(/\(0\.8 m\) as row 2 of r\.csv/)
    expect(findings.at(-1)!.reason).toMatch(/one found, one not/)
  })

  it('the order of rows handed in does not matter', () => {
    const random = createRandom(5)
    const reports = Array.from({ length: 60 }, (_, i) =>
      report(String(i), at(-45.8 + random.integer(4) * 3e-5, 35.7 + random.integer(4) * 3e-5)),
    )
    const findings = check(reports)
    expect(findings.length).toBeGreaterThan(20)
    expect(check([...reports].reverse())).toEqual(findings)
  })

  it('blocks places that a slip explains', () => {
    const findings = check([
      report('1', at(35.71234, -45.81234)),
      report('2', at(0, 0)),
      report('3', at(45.81234, 35.71234)),
      report('4', at(-45.81234, 0)),
    ])
    expect(told(findings)).toEqual([
      ['1', 'swapped-coordinates', 'blocking'],
      ['2', 'zero-coordinates', 'blocking'],
      ['3', 'sign-lost', 'blocking'],
      ['4', 'zero-coordinates', 'blocking'],
    ])
    expect(findings[0]!.reason).toMatch(/longitude 35\.71234, latitude -45\.81234/)
  })

  it('finds them without a boundary too, from where the others lie', () => {
    const others = Array.from({ length: 20 }, (_, i) => report(String(i + 10)))
    const findings = check([...others, report('1', at(35.71234, -45.81234)), report('2', at(12.34567, 48.76543))], null)
    expect(told(findings)).toEqual([
      ['1', 'swapped-coordinates', 'blocking'],
      ['2', 'far-from-others', 'blocking'],
    ])
  })

  it('doubts what lies outside the boundary and blocks what lies over 10 km out', () => {
    const findings = check([
      report('1', at(-45.49001, 35.71234)),
      report('2', at(-45.30001, 35.71234)),
      report('3', at(-45.499999, 35.71234)),
    ])
    expect(told(findings)).toEqual([
      ['1', 'outside-boundary', 'doubt'],
      ['2', 'outside-boundary', 'blocking'],
    ])
    // The distance is that to the meridian of the boundary at the same latitude, to 1 m (geodesic, core/geo).
    const expected = measureDistance(-45.49001, 35.71234, -45.5, 35.71234)
    expect(findings[0]!.reason).toBe(`It lies ${Math.round(expected)} m outside the boundary.`)
  })

  it('doubts coordinates cut short', () => {
    expect(
      told(check([report('1', at(-45.81, 35.7)), report('2', at(-45.812, 35.7123)), report('3', at(-45.8123, 35.7))])),
    ).toEqual([['1', 'truncated-coordinates', 'doubt']])
  })
})

describe('inside test', () => {
  it('agrees with the even-odd rule taken edge by edge', () => {
    const random = createRandom(9)
    const angles = Array.from({ length: 200 }, (_, i) => (i / 200) * 2 * Math.PI)
    const star = angles.flatMap((angle, i) => {
      const radius = i % 2 === 0 ? 1 : 0.4 + 0.3 * random.next()
      return [radius * Math.cos(angle), radius * Math.sin(angle)]
    })
    const ring = Float64Array.from([...star, star[0]!, star[1]!])
    const hole = Float64Array.of(-0.1, -0.1, -0.1, 0.1, 0.1, 0.1, 0.1, -0.1, -0.1, -0.1)
    const isIn = createInsideTest([[ring, hole]])
    const odd = (path: Float64Array, x: number, y: number) => {
      let crossings = 0
      for (let i = 0; i + 3 < path.length; i += 2) {
        const [x0, y0, x1, y1] = [path[i]!, path[i + 1]!, path[i + 2]!, path[i + 3]!]
        if (y0 > y !== y1 > y && x < x0 + ((x1 - x0) * (y - y0)) / (y1 - y0)) crossings++
      }
      return crossings % 2 === 1
    }
    for (let n = 0; n < 2000; n++) {
      const [x, y] = [random.next() * 2.4 - 1.2, random.next() * 2.4 - 1.2]
      expect(isIn(x, y)).toBe(odd(ring, x, y) !== odd(hole, x, y))
    }
  })
})
