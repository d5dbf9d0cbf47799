import { describe, expect, it } from 'vitest'
import type { Metres, SquareMetres } from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { checkReports } from '../../core/vet/index.ts'
import { at, check, OUTLINE, report, SEASONS, told } from './vet-fixtures.ts'

describe('checks on dates, accuracy and what was seen', () => {
  it('finds nothing on a clean report', () => {
    expect(check([report('1'), report('2'), report('3', { isFound: false })])).toEqual([])
  })

  it('blocks dates in the future and in no season', () => {
    expect(
      told(
        check([
          report('1', { date: '2025-01-05' }),
          report('2', { date: '2022-07-01' }),
          report('3', { date: '2024-10-01' }),
        ]),
      ),
    ).toEqual([
      ['1', 'future-date', 'blocking'],
      ['2', 'outside-seasons', 'blocking'],
    ])
  })

  it('notes looks outside the window of their evidence', () => {
    const findings = check([
      report('1', { date: '2024-04-01', isFound: false }),
      report('2', { date: '2024-04-01' }),
      report('3', { date: '2024-02-01', isFound: false, evidence: 'propagule' }),
      report('4', { date: '2024-04-01', isFound: false, evidence: 'stem' }),
    ])
    expect(told(findings)).toEqual([
      ['1', 'out-of-window', 'note'],
      ['2', 'find-out-of-window', 'note'],
    ])
    expect(findings[0]!.reason).toMatch(/outside 2024-05-01 to 2024-10-31.*says nothing as absence/)
  })

  it('notes missing accuracy and doubts accuracy over the limit', () => {
    const findings = check([
      report('1', { accuracy: null }),
      report('2', { accuracy: 20 as Metres }),
      report('3', { accuracy: 20 as Metres, accuracyLevel: 0.95 }),
      report('4', { accuracy: 200 as Metres, isFound: false }),
    ])
    expect(told(findings)).toEqual([
      ['1', 'accuracy-missing', 'note'],
      ['2', 'accuracy-over-limit', 'doubt'],
    ])
    // 68 % radius to 95 %: x 1.62 (design figure; circular normal), 20 m -> 32 m.
    expect(findings[1]!.reason).toMatch(/good to 32 m/)
  })

  it('doubts cover and size that contradict the rest', () => {
    const findings = check([
      report('1', { isFound: false, size: 40 as SquareMetres }),
      report('2', { isFound: false, cover: 0.375, coverClass: '3' }),
      report('3', { cover: 0, coverClass: '0' }),
      report('5', { size: 500 as SquareMetres, extent: 10 as Metres }),
      report('6', { size: 300 as SquareMetres, extent: 10 as Metres, cover: 0.375, coverClass: '3' }),
      report('7', { isFound: false, size: 0 as SquareMetres, cover: 0, coverClass: '0' }),
    ])
    expect(told(findings)).toEqual(['1', '2', '3', '5'].map(id => [id, 'cover-size', 'doubt']))
  })

  // The ceiling of 10 ha is common practice, no source.
  it('holds back a size that one report cannot mean, up to the ceiling that the brief sets', () => {
    const reports = [
      report('1', { size: 100_000 as SquareMetres }),
      report('2', { size: 100_001 as SquareMetres }),
      report('3', { size: 1e12 as SquareMetres }),
    ]
    expect(told(check(reports))).toEqual(['2', '3'].map(id => [id, 'size', 'blocking']))
    const outline = { ...OUTLINE, largestSize: 5e5 }
    const found = checkReports({ reports, seasons: SEASONS, boundary: null, dataDate: '2024-10-01', outline })
    expect(told(found)).toEqual([['3', 'size', 'blocking']])
  })

  it('checks 20,000 reports in about a second', () => {
    const random = createRandom(1)
    const reports = Array.from({ length: 20_000 }, (_, i) =>
      report(String(i), at(-45.9 + random.next() * 0.3, 35.55 + random.next() * 0.4)),
    )
    const start = performance.now()
    expect(check(reports).length).toBeLessThan(200)
    expect(performance.now() - start).toBeLessThan(10_000)
  })
})
