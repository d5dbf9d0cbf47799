// Programs that the reference checks compare with, each with the Debian package that brings it.
import { join } from 'node:path'
import { isProgram } from './browser.mjs'

const TOOLS = {
  ogrinfo: 'gdal-bin',
  gdalinfo: 'gdal-bin',
  gdaltransform: 'gdal-bin',
  projinfo: 'proj-bin',
  cs2cs: 'proj-bin',
  Planimeter: 'geographiclib-tools',
  pdffonts: 'poppler-utils',
  pdftotext: 'poppler-utils',
  pdftoppm: 'poppler-utils',
}

/** Those that are not on the PATH, as [program, package]. */
export function missingTools() {
  const folders = (process.env.PATH ?? '').split(':')
  return Object.entries(TOOLS).filter(([name]) => !folders.some(folder => isProgram(join(folder, name))))
}

/** What is left out without them, in one sentence; null when nothing is. */
export function sayMissing(missing) {
  if (missing.length === 0) return null
  const packages = [...new Set(missing.map(([, from]) => from))]
  return `Checks against ${missing.map(([name]) => name).join(', ')} are skipped: not installed (Debian: apt-get install ${packages.join(' ')}).`
}
