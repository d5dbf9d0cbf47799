import { expect, it } from 'vitest'
import type { ReferenceRow } from './check.ts'
import { asTable, mergeAlike } from './report.ts'

const row: ReferenceRow = {
  ...{ what: 'area, m2', source: 'a handbook', expected: '2', got: '2', within: '± 0.1' },
  ...{ compared: 3, apart: 0.2, isMet: true },
}

it('cases of one claim are one line: the worst pair, and how many there were', () => {
  const missed = { ...row, got: '3', compared: 1, apart: 10, isMet: false }
  expect(mergeAlike([row, missed, { ...row, compared: 2 }])).toEqual([{ ...missed, compared: 6 }])
  expect(mergeAlike([row, { ...row, source: 'another' }])).toHaveLength(2)
})

it('a failed check is marked, and a narrow window shortens words, never figures', () => {
  const long = { ...row, what: 'x'.repeat(90), source: 'y'.repeat(90), expected: '1234567.891', isMet: false }
  const lines = asTable([{ file: 'a.test.ts', rows: [row, long], pictures: [] }], 100)
  expect(lines.map(line => line[0] === '✗')).toEqual([false, false, false, false, true])
  expect(Math.max(...lines.map(line => line.length))).toBeLessThanOrEqual(100)
  expect(lines[4]).toContain('1234567.891')
})
