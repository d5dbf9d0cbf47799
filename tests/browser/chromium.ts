import { access } from 'node:fs/promises'

export const CHROMIUM_ARGS = [
  '--no-sandbox',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--disable-background-networking',
]

const PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
]

/** An installed browser of the Chromium family; CHROMIUM names one that stands elsewhere. */
export async function findChromium(): Promise<string> {
  for (const place of [process.env['CHROMIUM'], ...PLACES]) {
    if (place === undefined) continue
    const isThere = await access(place).then(
      () => true,
      () => false,
    )
    if (isThere) return place
  }
  throw new Error('No Chromium found. Install one (Debian: apt-get install chromium) or name it in CHROMIUM.')
}
