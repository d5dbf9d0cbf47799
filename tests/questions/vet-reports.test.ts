import { describe, expect, it } from 'vitest'
import { measureDistance, utmFrame } from '../../core/geo/index.ts'
import {
  accuracyAt95,
  DAUBENMIRE,
  type Degrees,
  type Finding,
  formatPhrase,
  type Metres,
  type MultiPolygon,
  type OutlineSettings,
  type Report,
  type Season,
  type SquareMetres,
} from '../../core/model/index.ts'
import { createRandom } from '../../core/stats/index.ts'
import { admitReports, checkReports, describeVet, estimateDataDate, placeSightings } from '../../core/vet/index.ts'
import { createInsideTest } from '../../core/vet/rules/inside-test.ts'

const OUTLINE: OutlineSettings = {
  method: 'closing',
  radius: 5,
  join: 30,
  minReports: 1,
  minReportsUnconfirmed: 1,
  accuracyLimit: 30,
  minimumHole: 0,
  searchRadius: 25,
  joinWaterWidth: 30,
  draws: 100,
  seed: 1,
  coverTable: DAUBENMIRE,
}
const season = (year: number): Season => ({
  id: String(year),
  start: `${year}-03-16`,
  end: `${year + 1}-03-15`,
  year,
  detectable: { leaf: [`${year}-05-01`, `${year}-10-31`], propagule: [`${year}-07-01`, `${year + 1}-03-15`] },
})
const SEASONS = [season(2023), season(2024)]
const BOUNDARY: MultiPolygon = [[Float64Array.of(-46, 35.5, -45.5, 35.5, -45.5, 36, -46, 36, -46, 35.5)]]

const report = (id: string, change: Partial<Report> = {}): Report => ({
  id,
  file: 'r.csv',
  row: Number(id) + 1,
  date: '2024-07-01',
  // Each a few hundred metres from the next.
  longitude: (-45.81234 + Number(id) * 0.00511) as Degrees,
  latitude: 35.71234 as Degrees,
  isFound: true,
  evidence: 'leaf',
  coverClass: null,
  cover: null,
  size: null,
  accuracy: 5 as Metres,
  accuracyLevel: null,
  extent: null,
  recorder: 'plot 7',
  training: 'new',
  confirmedBy: null,
  status: 'unchecked',
  consent: 'exact',
  notes: null,
  ...change,
})
const check = (reports: Report[], boundary: MultiPolygon | null = BOUNDARY, dataDate = '2024-10-01'): Finding[] =>
  checkReports({ reports, seasons: SEASONS, boundary, dataDate, outline: OUTLINE })
const told = (findings: Finding[]) => findings.map(({ reportId, rule, severity }) => [reportId, rule, severity])
const at = (longitude: number, latitude: number) => ({ longitude: longitude as Degrees, latitude: latitude as Degrees })

describe('checks on reports', () => {
  it('finds nothing on a clean report', () => {
    expect(check([report('1'), report('2'), report('3', { isFound: false })])).toEqual([])
  })

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
      report('4', { size: 200_000 as SquareMetres }),
      report('5', { size: 500 as SquareMetres, extent: 10 as Metres }),
      report('6', { size: 300 as SquareMetres, extent: 10 as Metres, cover: 0.375, coverClass: '3' }),
      report('7', { isFound: false, size: 0 as SquareMetres, cover: 0, coverClass: '0' }),
    ])
    expect(told(findings)).toEqual(['1', '2', '3', '4', '5'].map(id => [id, 'cover-size', 'doubt']))
  })

  it('checks 20,000 reports in about a second', () => {
    const random = createRandom(1)
    const reports = Array.from({ length: 20_000 }, (_, i) =>
      report(String(i), at(-45.9 + random.next() * 0.3, 35.55 + random.next() * 0.4)),
    )
    const start = performance.now()
    expect(check(reports).length).toBeLessThan(200)
    expect(performance.now() - start).toBeLessThan(4000)
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
