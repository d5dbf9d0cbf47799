/** References of the national grid against GeographicLib's GeoConvert and printed examples. */
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { formatGridReference, measureDistance, parseGridReference } from '../../core/geo/index.ts'
import { check } from './check.ts'

/** GeographicLib 2.1.2, `GeoConvert -m -p 0`; the file says how it was made. */
const VALUES = readFileSync(new URL('./values/grid-references.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(2)
  .map(line => {
    const [latitude, longitude, reference] = line.split(',')
    return { latitude: Number(latitude), longitude: Number(longitude), reference: reference! }
  })

const close = (text: string | null) => text?.replaceAll(' ', '').padStart(15, '0')

describe('grid references', () => {
  test('agree with GeographicLib on 210 places to the metre, Norway, Svalbard and the equator included', () => {
    expect(VALUES).toHaveLength(210)
    const same = VALUES.filter(
      ({ latitude, longitude, reference }) => close(formatGridReference([longitude, latitude])) === reference,
    )
    check({
      what: 'grid references to the metre, of 210',
      source: 'GeoConvert -m, GeographicLib 2.1.2',
      expected: 210,
      got: same.length,
    })
  })

  test('come back to within their square', () => {
    for (const { latitude, longitude, reference } of VALUES) {
      const [lon, lat] = parseGridReference(reference)!
      expect(measureDistance(longitude, latitude, lon, lat)).toBeLessThan(0.72)
    }
  })

  // FGDC-STD-011-2001, section 3.2, gives the Washington Monument as 18SUJ23480647 at 10 m (from memory); the same
  // place stands in print as 38.8894673 N 77.03524 W, 18SUJ23483168 06479498 to the millimetre.
  test.each([
    [5, '18S UJ 23483 06479'],
    [4, '18S UJ 2348 0647'],
    [3, '18S UJ 234 064'],
    [2, '18S UJ 23 06'],
    [1, '18S UJ 2 0'],
    [0, '18S UJ'],
  ])('the Washington Monument with %i digits', (digits, reference) => {
    const got = formatGridReference([-77.0352402158258, 38.8894673086544], digits)
    if (digits === 4)
      check({ what: 'Washington Monument, 10 m', source: 'FGDC-STD-011-2001, 3.2', expected: reference, got })
    else expect(got).toBe(reference)
  })

  // GeographicLib manual, GeoConvert(1), examples: 38SMB4488 is 33.33424 N 44.40363 E (from memory; GeoConvert 2.1.2
  // gives the same).
  test('names the middle of its square', () => {
    const [longitude, latitude] = parseGridReference('38SMB4488')!
    expect(latitude.toFixed(5)).toBe('33.33424')
    expect(longitude.toFixed(5)).toBe('44.40363')
    expect(parseGridReference('38s mb 44 88')).toEqual([longitude, latitude])
  })

  test.each([
    '',
    '38',
    '38SMB448',
    '61SMB4488',
    '38IMB4488',
    '38SAA4488',
    '38SMB 44 8',
    '38SMB448812345678',
    '38CMM4488',
  ])('"%s" is no reference', text => expect(parseGridReference(text)).toBeNull())

  test('stop at the edges of the grid', () => {
    expect(formatGridReference([10, 84.001])).toBeNull()
    expect(formatGridReference([10, -80.001])).toBeNull()
    expect(formatGridReference([10, Number.NaN])).toBeNull()
  })
})
