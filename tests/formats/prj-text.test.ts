import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { prjTextOf } from '../../core/formats/index.ts'
import { findCrs, listCrs, parseCrsText } from '../../core/geo/index.ts'

test('the text of every system of the table reads back as that system', () => {
  const wrong = listCrs().filter(crs => parseCrsText(prjTextOf(crs))?.crs !== crs.code)
  expect(wrong.map(crs => crs.code)).toEqual([])
  expect(listCrs().length).toBeGreaterThan(1000)
})

// GDAL names the code of a .prj by its own copy of the EPSG registry: one system a method, datum and unit.
const CODES = [3857, 4326, 4269, 32623, 32718, 26917, 2264, 2263, 3358, 6543, 3005, 6318]
const hasGdal = spawnSync('which', ['gdalsrsinfo']).status === 0

test.skipIf(!hasGdal)('GDAL reads the parameters as the registry has them', () => {
  const folder = mkdtempSync(join(tmpdir(), 'prj-'))
  try {
    for (const code of CODES) {
      const file = join(folder, `${code}.prj`)
      writeFileSync(file, prjTextOf(findCrs(`EPSG:${code}`)!))
      const proj4 = (source: string) =>
        execFileSync('gdalsrsinfo', ['-o', 'proj4', source], { encoding: 'utf8' }).trim()
      const [ours, theirs] = [proj4(file), proj4(`EPSG:${code}`)].map(wordsOf)
      for (const [key, value] of theirs!) {
        // What both leave at its default, GDAL writes for one and not for the other.
        const own = ours!.get(key) ?? (key === 'k' || key === 'k_0' ? 1 : 0)
        if (typeof value === 'number') expect(own, `EPSG:${code} ${key}`).toBeCloseTo(value, 6)
      }
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
})

const wordsOf = (text: string): Map<string, number | string> =>
  new Map(
    text
      .split(/\s+/)
      .map(word => word.replace(/^\+/, '').split('='))
      .filter(([key]) => /^(lat_|lon_|x_0|y_0|k|zone)/.test(key!))
      .map(([key, value]) => [key!, Number.isFinite(Number(value)) ? Number(value) : value!]),
  )
