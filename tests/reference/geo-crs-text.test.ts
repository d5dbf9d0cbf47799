import { spawnSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { findCrs, isGeographic, listCrs, parseCrsText } from '../../core/geo/index.ts'
import { check } from './check.ts'
import values from './values/crs-texts.json' with { type: 'json' }

/** Source of the texts: values/crs-texts.json says which program wrote them. */
const hasProjinfo = spawnSync('projinfo', ['--help']).error === undefined
if (!hasProjinfo) console.info('projinfo (proj-bin) is not installed: only the committed texts are read.')

/** A .prj as older files have it: feet named Foot_US, false origin written from metres, short angles. */
const prj = (unit: string, falseEasting: string, datum = 'D_North_American_1983') =>
  `PROJCS["NAD_1983_StatePlane_North_Carolina_FIPS_3200_Feet",GEOGCS["GCS_North_American_1983",DATUM["${datum}",` +
  'SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],' +
  `PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",${falseEasting}],PARAMETER["False_Northing",0.0],` +
  'PARAMETER["Central_Meridian",-79.0],PARAMETER["Standard_Parallel_1",34.33333333333334],' +
  `PARAMETER["Standard_Parallel_2",36.16666666666666],PARAMETER["Latitude_Of_Origin",33.75],UNIT[${unit}]]`

describe('text of a coordinate reference system', () => {
  it.each(values.texts.map(text => [text.format, text.crs ?? 'NAD27', text] as const))(
    '%s of %s',
    (_, __, { crs, text }) => {
      const parsed = parseCrsText(text)
      if (crs !== null) expect(parsed?.crs).toBe(crs)
      else {
        // NAD27 keeps its name, by which it is refused later.
        expect(parsed?.crs).toBe(parsed?.name)
        expect(findCrs(parsed!.crs)).toBeUndefined()
      }
    },
  )

  it('goes by parameters and unit, not by the name', () => {
    const survey = '"Foot_US",0.3048006096012192'
    expect(parseCrsText(prj(survey, '2000000.002616666'))?.crs).toBe('EPSG:2264')
    expect(parseCrsText(prj('"Meter",1.0', '609601.22'))?.crs).toBe('EPSG:32119')
    // The international foot makes another system: 2e-6 of 609,601 m is 1.2 m.
    expect(parseCrsText(prj('"Foot",0.3048', '2000000.0'))?.crs).toMatch(/^NAD_1983_StatePlane/)
    expect(parseCrsText(prj(survey, '2000001.0'))?.crs).toMatch(/^NAD_1983_StatePlane/)
    expect(parseCrsText(prj(survey, '2000000.0', 'D_North_American_1927'))?.crs).toMatch(/^NAD_1983_StatePlane/)
    expect(parseCrsText(prj(survey, '2000000.0', 'D_North_American_1983_HARN'))?.crs).toBe('EPSG:3404')
    expect(parseCrsText(prj(survey, '2000000.0', 'D_NAD_1983_2011'))?.crs).toBe('EPSG:6543')
  })

  it('does not believe a code that the parameters deny', () => {
    const utm18 = values.texts.find(text => text.crs === 'EPSG:26918' && text.format === 'WKT1_GDAL')!.text
    expect(parseCrsText(utm18.replace('"central_meridian",-75', '"central_meridian",-81'))?.crs).toBe('EPSG:26917')
  })

  it('looks through compound and bound systems', () => {
    const [plane] = values.texts.filter(text => text.crs === 'EPSG:2264' && text.format === 'WKT1_GDAL')
    const height = 'VERT_CS["NAVD88 height",VERT_DATUM["North American Vertical Datum 1988",2005],UNIT["metre",1]]'
    expect(parseCrsText(`COMPD_CS["both",${plane!.text},${height}]`)?.crs).toBe('EPSG:2264')
  })

  it('refuses a datum that is to be shifted', () => {
    const shifted =
      'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563],TOWGS84[1,2,3,0,0,0,0]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]]'
    expect(parseCrsText(shifted)).toEqual({ crs: 'WGS 84', name: 'WGS 84' })
    expect(parseCrsText(shifted.replace('[1,2,3', '[0,0,0'))?.crs).toBe('EPSG:4326')
    expect(parseCrsText(shifted.replace('[1,2,3', '[0,0,0').replace('"Greenwich",0', '"Paris",2.33722917'))?.crs).toBe(
      'WGS 84',
    )
  })

  it.each([
    ['EPSG:26918', 'EPSG:26918'],
    ['epsg:4326', 'EPSG:4326'],
    ['urn:ogc:def:crs:EPSG::32623', 'EPSG:32623'],
    ['urn:ogc:def:crs:EPSG:9.8.1:2264', 'EPSG:2264'],
    ['urn:ogc:def:crs:OGC:1.3:CRS84', 'EPSG:4326'],
    ['http://www.opengis.net/def/crs/EPSG/0/5070', 'EPSG:5070'],
    ['NAD_1983_UTM_Zone_18N', 'EPSG:26918'],
    ['GCS_WGS_1984', 'EPSG:4326'],
    ['\uFEFFWGS 84 / UTM zone 23N\n', 'EPSG:32623'],
    ['EPSG:99999', 'EPSG:99999'],
    ['County grid of 1932', 'County grid of 1932'],
    ['LOCAL_CS["County grid",UNIT["m",1]]', 'County grid'],
  ])('%s is %s', (text, crs) => {
    expect(parseCrsText(text)?.crs).toBe(crs)
  })

  it.each(['', '  ', 'PROJCS["broken', 'PROJCS[]', 'GEOGCS["a"]]', `${'A['.repeat(5000)}`, 'x'.repeat(1000)])(
    'finds nothing in %s',
    text => {
      expect(parseCrsText(text)).toBeNull()
    },
  )

  it('knows degrees from metres', () => {
    expect(['EPSG:4326', 'EPSG:4269', 'EPSG:26918', 'Some grid'].map(isGeographic)).toEqual([true, true, false, false])
  })

  // Every 150th system of the table in the dialect of .prj files.
  it.skipIf(!hasProjinfo)('reads back what projinfo writes', () => {
    const sample = listCrs().filter((_, i) => i % 150 === 7)
    const read = sample.filter(crs => {
      const { stdout } = spawnSync('projinfo', ['-q', '-o', 'WKT1_ESRI', crs.code], { encoding: 'utf8' })
      return parseCrsText(stdout)?.crs === crs.code
    })
    const got = read.map(({ code }) => code).join(' ')
    expect(got).toBe(sample.map(({ code }) => code).join(' '))
    const what = 'systems told by their WKT (ESRI dialect)'
    check({ what, source: 'projinfo (PROJ), run now', expected: sample.length, got: read.length })
  })
})
