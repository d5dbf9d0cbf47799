import { describe, expect, it } from 'vitest'
import { utmFrame } from '../../core/geo/index.ts'
import {
  accuracyAt95,
  type Finding,
  formatPhrase,
  type Metres,
  type Report,
  type SquareMetres,
} from '../../core/model/index.ts'
import { admitReports, describeVet, estimateDataDate, placeSightings } from '../../core/vet/index.ts'
import { OUTLINE, report, SEASONS } from './vet-fixtures.ts'

describe('the date of the data', () => {
  const dates = (list: string[]) => list.map(date => ({ date }))
  const weekly = (year: number, weeks = 40) =>
    Array.from({ length: weeks }, (_, i) => new Date(Date.UTC(year, 3, 1 + 7 * i)).toISOString().slice(0, 10))

  it('is the last date, where nothing is wrong', () => {
    expect(estimateDataDate(dates(weekly(2024)), SEASONS)).toBe(weekly(2024).at(-1))
  })

  it('is not moved by rows dated ahead', () => {
    const good = [...weekly(2023), ...weekly(2024, 20)]
    expect(estimateDataDate(dates([...good, '2031-05-01', '2042-07-07']), SEASONS)).toBe(good.at(-1))
    expect(estimateDataDate(dates([...good, '2025-08-01']), SEASONS)).toBe(good.at(-1))
  })

  it('keeps sparse reports: a gap as long as others in the season does not end the data', () => {
    const sparse = ['2023-05-01', '2023-08-20', '2023-12-01', '2024-05-05', '2024-08-20', '2024-12-10']
    expect(estimateDataDate(dates(sparse), SEASONS)).toBe('2024-12-10')
  })

  it('without reports it is the end of the last season', () => {
    expect(estimateDataDate([], SEASONS)).toBe('2025-03-15')
  })
})

describe('admission', () => {
  const reports = (['accepted', 'held', 'rejected', 'unchecked', 'unchecked'] as const).map((status, i) =>
    report(String(i), { status }),
  )
  const blocking = (id: string): Finding => ({
    reportId: id,
    file: 'r.csv',
    row: 1,
    rule: 'future-date',
    severity: 'blocking',
    reason: '',
  })
  const findings = [blocking('0'), blocking('4'), { ...blocking('3'), severity: 'doubt' as const }]

  it('accepted always, held and rejected never, unchecked without a blocking finding', () => {
    expect(admitReports(reports, findings, { admit: 'unblocked' }).map(entry => entry.reason)).toEqual([
      null,
      'held',
      'rejected',
      null,
      'future-date',
    ])
  })

  it('or accepted ones alone', () => {
    const admissions = admitReports(reports, findings, { admit: 'accepted' })
    expect(admissions.map(entry => entry.isAdmitted)).toEqual([true, false, false, false, false])
    expect(admissions[3]!.reason).toBe('unchecked')
  })
})

describe('sightings', () => {
  const reports = [
    report('2', { size: 78.53981633974483 as SquareMetres, confirmedBy: 'desk', cover: 0.375 }),
    report('1', { accuracy: null }),
    report('3', { accuracy: 40 as Metres }),
    report('4', { date: '2024-04-01' }),
    report('5', { date: '2024-04-01', isFound: false }),
    report('6', { isFound: false, extent: 60 as Metres, training: 'staff' }),
    report('7', { date: '2023-07-01' }),
    report('8', { status: 'rejected' }),
  ]
  const admissions = admitReports(reports, [], { admit: 'unblocked' })
  const frame = utmFrame(-45.8, 35.7)
  const [older, newer] = placeSightings({ reports, admissions, seasons: SEASONS, frame, outline: OUTLINE })

  it('a find counts whenever it was made; visits only in their window', () => {
    expect(older!.finds.map(find => find.reportId)).toEqual(['7'])
    expect(newer!.finds.map(find => find.reportId)).toEqual(['1', '2', '3', '4'])
    expect(newer!.visits.map(visit => visit.reportId)).toEqual(['1', '2', '3', '6'])
  })

  it('support comes from the size, never from the accuracy', () => {
    const [missing, measured, poor] = newer!.finds
    // pi r^2 = 78.5398 m2 -> r = 5 m.
    expect(measured).toMatchObject({
      isMeasured: true,
      isConfirmed: true,
      cover: 0.375,
      makesArea: true,
      hasAccuracy: true,
    })
    expect(measured!.radius).toBeCloseTo(5, 12)
    expect(missing).toMatchObject({ radius: 5, isMeasured: false, accuracy95: 30, makesArea: true, hasAccuracy: false })
    expect(poor!.makesArea).toBe(false)
    expect(poor!.accuracy95).toBeCloseTo(accuracyAt95(reports[2]!), 12)
    expect([measured!.x, measured!.y]).toEqual(frame.toPlane(reports[0]!.longitude, reports[0]!.latitude))
  })

  it('a visit without an extent searched the default disc', () => {
    expect(newer!.visits.map(visit => [visit.extent, visit.hasExtent])).toEqual([
      [25, false],
      [25, false],
      [25, false],
      [60, true],
    ])
  })
})

describe('the answer', () => {
  const reading = { units: 'hectares-metres', locale: 'en-US' } as const
  const answer = (reports: Report[], findings: Finding[], hasBoundary = true) =>
    describeVet({
      reports,
      findings,
      admissions: admitReports(reports, findings, { admit: 'unblocked' }),
      rejectedRows: 4,
      settings: { admit: 'unblocked' },
      dataDate: '2024-10-01',
      hasBoundary,
    })

  it('says how many count and what holds the rest back', () => {
    const reports = Array.from({ length: 3021 }, (_, i) =>
      report(String(i), { status: i === 9 ? 'held' : 'unchecked' }),
    )
    const findings = Array.from(
      { length: 106 },
      (_, i): Finding => ({
        reportId: String(i + 100),
        file: 'r.csv',
        row: i + 101,
        rule: i < 100 ? 'future-date' : 'duplicate',
        severity: 'blocking',
        reason: 'Why.',
      }),
    )
    const result = answer(reports, findings)
    expect(formatPhrase(result.headline, reading)).toBe('2,914 of 3,021 reports count; 107 are held back.')
    const figures = Object.fromEntries(result.figures.map(figure => [figure.id, figure.quantity.value]))
    expect(figures).toEqual({
      admitted: 2914,
      'held-back-duplicate': 6,
      'held-back-future-date': 100,
      'held-back-held': 1,
      doubted: 0,
      'rejected-rows': 4,
    })
    expect(result.figures.find(figure => figure.id === 'held-back-held')!.why!.selection!.ids).toEqual(['9'])
    expect(result.chart!.points.map(point => [point.label, point.y])).toEqual([
      ['Duplicate', 6],
      ['Dated in the future', 100],
    ])
  })

  it('says what it cannot tell', () => {
    const text = answer([], [], false).cannotConclude.map(phrase => formatPhrase(phrase, reading))
    expect(text).toHaveLength(3)
    expect(formatPhrase(answer([], []).headline, reading)).toBe('There are no reports yet.')
    expect(formatPhrase(answer([report('1')], []).headline, reading)).toBe('All 1 report counts.')
  })
})
