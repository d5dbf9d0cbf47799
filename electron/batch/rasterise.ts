import { existsSync } from 'node:fs'
import { InputError } from '../../core/model/index.ts'

const PIXELS_PER_POINT = 200 / 72

/** A sheet's SVG as PNG at 200 dots an inch, through an installed Chromium-family browser. */
export async function rasterise(svg: Uint8Array): Promise<Uint8Array> {
  const executablePath =
    process.env['CHROMIUM'] ?? ['/usr/bin/chromium', '/usr/bin/google-chrome'].find(path => existsSync(path))
  if (executablePath === undefined) {
    throw new InputError({
      code: 'no-browser',
      reason: 'A PNG needs an installed Chromium-family browser',
      remedy: 'Install one or set CHROMIUM to it; .pdf and .svg need none.',
    })
  }
  const { chromium } = await import('playwright-core')
  const browser = await chromium.launch({ executablePath, args: process.getuid?.() === 0 ? ['--no-sandbox'] : [] })
  try {
    const text = new TextDecoder().decode(svg)
    const size = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(text)
    const [width, height] = [Math.ceil(Number(size?.[1] ?? 792)), Math.ceil(Number(size?.[2] ?? 612))]
    const page = await browser.newPage({ viewport: { width, height }, deviceScaleFactor: PIXELS_PER_POINT })
    const image = `data:image/svg+xml;base64,${Buffer.from(svg).toString('base64')}`
    await page.setContent(`<body style="margin:0"><img src="${image}" width="${width}" height="${height}"></body>`)
    await page.waitForFunction('document.images[0]?.complete === true')
    return new Uint8Array(await page.screenshot({ type: 'png' }))
  } finally {
    await browser.close()
  }
}
