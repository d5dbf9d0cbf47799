/** The workstation window in a real Chromium, over the fixture desk, under the desktop's own content policy. */
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest'
import { CHROMIUM_ARGS, findChromium } from './chromium.ts'
import { buildFixtureWindow } from './window-build.ts'
import { openTestHost, type TestHost } from './window-host.ts'

const axePath = createRequire(import.meta.url).resolve('axe-core/axe.min.js')

let folder: string
let browser: Browser
let host: TestHost
let context: BrowserContext
let page: Page
let complaints: string[]
let strangers: string[]

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'vinereach-window-'))
  await buildFixtureWindow(folder)
  browser = await chromium.launch({ executablePath: await findChromium(), args: CHROMIUM_ARGS })
}, 120_000)

afterAll(async () => {
  await browser?.close()
  await rm(folder, { recursive: true, force: true })
})

beforeEach(async () => {
  host = await openTestHost({ folder })
  context = await browser.newContext({ viewport: { width: 1280, height: 800 }, colorScheme: 'light' })
  page = await context.newPage()
  page.setDefaultTimeout(25_000)
  complaints = []
  strangers = []
  watch(page)
})

afterEach(async () => {
  await context.close()
  await host.close()
  expect(complaints).toEqual([])
  expect(strangers).toEqual([])
})

function watch(watched: Page): void {
  watched.on('console', message => complaints.push(`${message.type()}: ${message.text()}`))
  watched.on('pageerror', error => complaints.push(`error: ${error.message}`))
  watched.on('request', request => {
    const { protocol, hostname } = new URL(request.url())
    if (protocol !== 'blob:' && protocol !== 'data:' && hostname !== '127.0.0.1') strangers.push(request.url())
  })
}

async function openWindow(): Promise<void> {
  await page.addInitScript(() => {
    document.addEventListener('securitypolicyviolation', event =>
      console.error(`policy: ${event.violatedDirective} ${event.blockedURI} ${event.sourceFile}:${event.lineNumber}`),
    )
  })
  await page.goto(host.address)
  await page.locator('.sheet-answer .figure').first().waitFor()
  await page.locator('.work-bar').first().waitFor({ state: 'detached' })
}

const poll: typeof expect.poll = (ask, options) => expect.poll(ask, { timeout: 25_000, ...options })
const answer = () => page.locator('.sheet-answer').innerText()
const ask = (words: string) =>
  page.getByRole('navigation', { name: 'Questions' }).getByRole('button', { name: words }).click()
const tilesAsked = () => page.evaluate(() => performance.getEntriesByName('tile-asked').length)

test('opens the brief with its answer on the map, and takes the code off the address', async () => {
  await openWindow()
  expect(await answer()).toMatch(/In 2025 the vine stands on 314 ac in 6 patches/)
  expect(page.url()).not.toContain('#')
  await poll(() => mapColours()).toBeGreaterThan(40)
})

/** How many different colours the middle of the map holds: a blank map has few. */
async function mapColours(): Promise<number> {
  const shot = await page.locator('.map-canvas').screenshot()
  return page.evaluate(
    async bytes => {
      const picture = await createImageBitmap(new Blob([Uint8Array.from(bytes)], { type: 'image/png' }))
      const pen = new OffscreenCanvas(picture.width, picture.height).getContext('2d')!
      pen.drawImage(picture, 0, 0)
      const { data } = pen.getImageData(200, 100, 300, 300)
      const seen = new Set<number>()
      for (let i = 0; i < data.length; i += 4) seen.add((data[i]! << 16) | (data[i + 1]! << 8) | data[i + 2]!)
      return seen.size
    },
    [...shot],
  )
}

test('runs with progress, and a stop leaves the answer as it was', async () => {
  await openWindow()
  const before = await answer()
  await page.getByRole('button', { name: 'Run the season' }).click()
  const bar = page.getByRole('progressbar', { name: 'Running the season' })
  await poll(async () => Number(await bar.getAttribute('aria-valuenow'))).toBeGreaterThan(5)
  // By the keyboard: a click would wait until the bar stands still, and the run may be over by then.
  await page.getByRole('button', { name: 'Stop', exact: true }).focus()
  await page.keyboard.press('Enter')
  await page.getByText('Stopped. Nothing was changed.').waitFor()
  expect(await answer()).toBe(before)
  await page.getByRole('button', { name: 'Run the season' }).click()
  await page.getByText('The season is worked out.').waitFor()
})

test('a changed setting is run from its sheet and shown as it stands', async () => {
  await openWindow()
  await page.getByText('How it was worked out').click()
  const join = page.getByLabel('Join distance')
  await join.fill('900')
  expect(await join.getAttribute('aria-invalid')).toBe('true')
  expect(await page.getByRole('button', { name: 'Run with this change' }).isDisabled()).toBe(true)
  await join.fill('45')
  await page.getByRole('button', { name: 'Run with this change' }).click()
  await page.getByText('The season is worked out.').waitFor()
  expect(await join.inputValue()).toBe('45')
})

test('seasons: a click shows, shift and the second button compare, and it answers within 100 ms without new tiles', async () => {
  await openWindow()
  await poll(tilesAsked).toBeGreaterThan(0)
  await poll(() => mapColours()).toBeGreaterThan(40)
  const strip = page.getByRole('region', { name: 'Seasons' })
  const tiles = await tilesAsked()
  const clock = await openThreadClock()
  const took: number[] = []
  for (const season of ['2022', '2024', '2021', '2023']) {
    await page.waitForTimeout(500)
    const start = await clock()
    await showSeason(season)
    took.push((await clock()) - start)
  }
  expect(Math.max(...took)).toBeLessThan(100)
  await strip.locator('[data-season="2021"]').click({ modifiers: ['Shift'] })
  await page.getByRole('region', { name: 'Legend' }).getByText('patches, 2021').waitFor()
  expect(await strip.locator('[data-season="2023"]').getAttribute('aria-pressed')).toBe('true')
  await strip.getByRole('button', { name: 'Stop comparing with 2021' }).click()
  await page.getByRole('region', { name: 'Legend' }).getByText('patches, 2021').waitFor({ state: 'detached' })
  await strip.locator('[data-season="2023"]').focus()
  await page.keyboard.press('ArrowRight')
  await page.keyboard.press('Enter')
  await page.getByRole('region', { name: 'Legend' }).getByText('patches, 2024').waitFor()
  await page.waitForTimeout(300)
  expect(await tilesAsked()).toBe(tiles)
})

/** Milliseconds that the page's own thread has worked: what another program on the machine takes is not in it. */
async function openThreadClock(): Promise<() => Promise<number>> {
  const session = await context.newCDPSession(page)
  await session.send('Performance.enable', { timeDomain: 'threadTicks' })
  return async () => {
    const { metrics } = await session.send('Performance.getMetrics')
    return 1000 * metrics.find(metric => metric.name === 'TaskDuration')!.value
  }
}

/** Clicks a season and waits for its sentence in the page; drawing in software, as tests do, is not waited for. */
const showSeason = (season: string): Promise<void> =>
  page.evaluate(
    name =>
      new Promise<void>(resolve => {
        const watcher = new MutationObserver(() => {
          if (document.querySelector('.sheet-answer')?.textContent?.includes(name) !== true) return
          watcher.disconnect()
          resolve()
        })
        watcher.observe(document.body, { subtree: true, childList: true, characterData: true })
        document.querySelector<HTMLElement>(`[data-season="${name}"]`)?.click()
      }),
    season,
  )

test('a figure opens its why and selects it; the table shares the selection; Escape lets go', async () => {
  await openWindow()
  await page.getByRole('button', { name: 'Gross area' }).click()
  await page.getByText('Area on the ellipsoid of the outlines').waitFor()
  await page.getByText('6 selected').waitFor()
  await page.keyboard.press('t')
  const table = page.getByRole('grid')
  await poll(() => table.locator('.grid-row.is-chosen').count()).toBe(6)
  await table.getByRole('button', { name: 'Gross area' }).click()
  await table.getByRole('button', { name: 'Gross area' }).click()
  expect(await table.getByRole('columnheader', { name: 'Gross area' }).getAttribute('aria-sort')).toBe('descending')
  const tops = await table.locator('.grid-row').evaluateAll(rows =>
    rows
      .map(row => ({
        at: Number(row.getAttribute('aria-rowindex')),
        area: Number.parseFloat(row.lastElementChild!.textContent!),
      }))
      .sort((a, b) => a.at - b.at)
      .map(row => row.area),
  )
  expect(tops).toEqual([...tops].sort((a, b) => b - a))
  await table.focus()
  await page.keyboard.press('ArrowDown')
  await page.keyboard.press('Enter')
  await page.getByRole('complementary', { name: /About Patch/ }).waitFor()
  await page.keyboard.press('Escape')
  await poll(() => page.locator('.grid-row.is-chosen').count()).toBe(0)
})

test('the find box goes to a patch, to typed coordinates, and does commands', async () => {
  await openWindow()
  await page.keyboard.press('/')
  await page.keyboard.type('p3')
  await page.getByRole('option', { name: /P3, 2025/ }).waitFor()
  await page.keyboard.press('ArrowDown')
  await poll(() => page.locator('#find').getAttribute('aria-activedescendant')).toMatch(/hit-patch-patches-/)
  await page.keyboard.press('Enter')
  await page.getByRole('complementary', { name: /About Patch P3/ }).waitFor()
  await page.getByRole('combobox', { name: /Find/ }).fill('35.71 -45.80')
  await page.getByRole('option', { name: /35\.71000° N 45\.80000° W/ }).click()
  await page.getByRole('listbox').waitFor({ state: 'detached' })
  await page.getByRole('combobox', { name: /Find/ }).fill('hectares')
  await page.getByRole('option', { name: /hectares/ }).click()
  expect(await answer()).toMatch(/127 ha/)
})

test('hover names, click opens the card, the readout tells the place', async () => {
  await openWindow()
  await page.waitForTimeout(800)
  const box = (await page.locator('.map-canvas').boundingBox())!
  await poll(async () => {
    await page.mouse.move(box.x + 193, box.y + 211)
    await page.mouse.move(box.x + 194, box.y + 211)
    return page.locator('.hover-tip').count()
  }).toBe(1)
  await poll(() => page.locator('.readout .figure').innerText()).toMatch(/^35\.\d{5}° N 45\.\d{5}° W$/)
  await page.mouse.click(box.x + 194, box.y + 211)
  await poll(() => page.locator('.card').count()).toBe(1)
  await page.locator('.readout').click()
  await page.mouse.move(box.x + 300, box.y + 300)
  await poll(() => page.locator('.readout .figure').innerText()).toMatch(/° \d\d′ \d\d\.\d″ N/)
})

test('a legend row dims, hides and shows again', async () => {
  await openWindow()
  const row = page.getByRole('region', { name: 'Legend' }).getByRole('button', { name: /^waterways/ })
  await poll(() => row.innerText()).toContain('shown')
  await row.click()
  expect(await row.innerText()).toContain('dimmed')
  await row.click()
  expect(await row.innerText()).toContain('hidden')
  await row.click()
  expect(await row.innerText()).toContain('shown')
})

const legendKeys = () =>
  page
    .getByRole('region', { name: 'Legend' })
    .locator('.legend-label')
    .evaluateAll(labels => labels.map(label => label.textContent))

test('legend rows move by menu, keyboard and dragging, and go back; reference files have rows of their own', async () => {
  await openWindow()
  const usual = await legendKeys()
  expect(usual).toEqual(expect.arrayContaining(['roads', 'rail']))
  const at = (label: string) => usual.indexOf(label)
  expect(at('patches, 2025')).toBeLessThan(at('waterways'))
  expect(at('waterways')).toBeLessThan(at('roads'))
  const legend = page.getByRole('region', { name: 'Legend' })
  await legend.getByRole('button', { name: 'Move roads' }).click()
  await page.getByRole('menuitem', { name: 'To the top' }).click()
  await poll(legendKeys).toEqual(['roads', ...usual.filter(label => label !== 'roads')])
  await legend.getByRole('button', { name: /^roads/ }).focus()
  await page.keyboard.press('Alt+ArrowDown')
  await poll(async () => (await legendKeys()).indexOf('roads')).toBe(1)
  await legend.getByText('drawn under').waitFor({ state: 'attached' })
  await legend.locator('li', { hasText: 'waterways' }).dragTo(legend.locator('li').first())
  await poll(async () => (await legendKeys())[0]).toBe('waterways')
  await ask('How far did it move?')
  // Marks that were not there to be moved keep their usual place; what was moved stays moved.
  await poll(async () => (await legendKeys())[0]).toBe('edge move, 2025')
  const moved = await legendKeys()
  expect(moved.indexOf('waterways')).toBeLessThan(moved.indexOf('patches, 2025'))
  await legend.getByRole('button', { name: 'Usual order' }).click()
  await poll(async () => (await legendKeys()).indexOf('waterways')).toBeGreaterThan(1)
})

test('length and area are measured from typed places and clicks; Enter ends, Escape leaves', async () => {
  await openWindow()
  await page.getByRole('radio', { name: 'ha m' }).press(' ')
  await page.keyboard.press('m')
  const panel = page.getByRole('region', { name: 'Measure a length' })
  const place = panel.getByLabel('Next place')
  await place.fill('nowhere')
  await place.press('Enter')
  await panel.getByText('Not a place.').waitFor()
  for (const text of ['35.70 -45.80', '35.71 -45.78']) {
    await place.fill(text)
    await place.press('Enter')
  }
  // GeographicLib 2.1.2, GeodSolve -i: 2122.9802 m between the two.
  await poll(() => panel.locator('dd').innerText()).toBe('2.12 km')
  await place.press('Enter')
  await poll(() => panel.getByRole('button', { name: 'End' }).count()).toBe(0)
  await place.press('Escape')
  await panel.waitFor({ state: 'detached' })
  await page
    .getByRole('toolbar', { name: 'Map' })
    .getByRole('button', { name: /Measure an area/ })
    .click()
  const area = page.getByRole('region', { name: 'Measure an area' })
  for (const text of ['35.70 -45.80', '35.71 -45.78', '35.69 -45.79']) {
    await area.getByLabel('Next place').fill(text)
    await page.keyboard.press('Enter')
  }
  // GeographicLib 2.1.2, Planimeter: 1506237 m2, 5951.386 m around.
  await poll(() => area.locator('dd').allInnerTexts()).toEqual(['151 ha', '5.95 km'])
  await page.keyboard.press('Escape')
  await page.keyboard.press('m')
  const canvas = (await page.locator('.map-canvas').boundingBox())!
  await page.mouse.click(canvas.x + 200, canvas.y + 420)
  await page.mouse.click(canvas.x + 320, canvas.y + 420)
  await poll(() => page.locator('.measure-dots').getAttribute('d')).toMatch(/^M.*M.*Z$/)
  expect(await page.locator('.card').count()).toBe(0)
  await page.keyboard.press('Enter')
  await poll(() => panel.getByRole('button', { name: 'End' }).count()).toBe(0)
  await page.keyboard.press('Escape')
  await panel.waitFor({ state: 'detached' })
})

test('a box selects on the map, in the table and in the chart; the other layers in it are one press away', async () => {
  await openWindow()
  await page.keyboard.press('t')
  await page.keyboard.press('b')
  const panel = page.getByRole('region', { name: 'Select in a box' })
  for (const [label, text] of [
    ['First corner', '35.60 -45.90'],
    ['Opposite corner', '35.80 -45.70'],
  ] as const) {
    await panel.getByLabel(label).fill(text)
    await page.keyboard.press('Enter')
  }
  const card = page.getByRole('complementary', { name: 'Selection' })
  // The whole district: six patches of 2025 and five of 2024.
  await card.getByText('Patches: 11 selected').waitFor()
  await poll(() => page.locator('.grid-row.is-chosen').count()).toBe(11)
  await poll(() => page.getByRole('button', { name: /^2025: select/ }).getAttribute('aria-pressed')).toBe('true')
  expect(await page.getByRole('button', { name: /^2022: select/ }).getAttribute('aria-pressed')).toBe('false')
  await card.getByRole('button', { name: /^Reaches/ }).click()
  await card.getByText(/Reaches: \d+ selected/).waitFor()
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: /^2022: select/ }).press('Enter')
  await page.getByText('Patches: 5 selected').waitFor()
  await page.keyboard.press('Escape')
  const canvas = (await page.locator('.map-canvas').boundingBox())!
  await page.keyboard.down('Shift')
  await page.mouse.move(canvas.x + 60, canvas.y + 60)
  await page.mouse.down()
  await page.mouse.move(canvas.x + 420, canvas.y + 280, { steps: 4 })
  await page.locator('.measure-drawing rect').waitFor()
  await page.mouse.up()
  await page.keyboard.up('Shift')
  await page.getByText(/Patches: \d+ selected/).waitFor()
})

test('a lost drawing context that does not come back is replaced by a new map in the same place', async () => {
  await openWindow()
  await page.waitForTimeout(600)
  const before = await page.locator('.map-frame text').allTextContents()
  const tiles = await tilesAsked()
  await page.locator('.maplibregl-canvas').evaluate((canvas: HTMLCanvasElement) => {
    canvas.dataset['old'] = 'yes'
    canvas.getContext('webgl2')!.getExtension('WEBGL_lose_context')!.loseContext()
  })
  await page.locator('.maplibregl-canvas:not([data-old])').waitFor()
  await poll(tilesAsked).toBeGreaterThan(tiles)
  await poll(() => mapColours()).toBeGreaterThan(40)
  expect(await page.locator('.map-frame text').allTextContents()).toEqual(before)
})

test('a sheet is previewed and saved as PDF', async () => {
  await openWindow()
  await ask('What do we hand out?')
  const preview = page.getByRole('img', { name: 'Preview of Season review' })
  await preview.waitFor()
  expect(await preview.evaluate((image: HTMLImageElement) => image.naturalWidth > 0)).toBe(true)
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save Season review as PDF' }).click(),
  ])
  expect(download.suggestedFilename()).toBe('season-review-2025-with-2024.pdf')
  expect((await readFile(await download.path(), 'utf8')).slice(0, 5)).toBe('%PDF-')
  await page.getByText('Saved season-review-2025-with-2024.pdf.').waitFor()
})

test('a brief that cannot be read says where and what to do', async () => {
  await host.close()
  host = await openTestHost({ folder, brief: '{}' })
  await page.goto(host.address)
  const alert = page.getByRole('alert')
  await alert.getByText('brief.json: The brief has no title.').waitFor()
  await alert.getByText('Give it one.').waitFor()
  await page.getByRole('heading', { name: /Open a brief/ }).waitFor()
})

test.each([
  ['light', 1280, 800],
  ['dark', 1920, 1080],
] as const)('axe finds nothing serious: %s', async (colorScheme, width, height) => {
  await context.close()
  context = await browser.newContext({ viewport: { width, height }, colorScheme, bypassCSP: false })
  page = await context.newPage()
  page.setDefaultTimeout(25_000)
  watch(page)
  await openWindow()
  await page.keyboard.press('t')
  await page.getByRole('grid').waitFor()
  await page.getByRole('button', { name: 'Gross area' }).first().click()
  for (const question of ['What came in?', 'How far did it move?', 'What do we hand out?']) {
    await ask(question)
    expect(await seriousFindings()).toEqual([])
  }
})

async function seriousFindings(): Promise<string[]> {
  // Through the debugger, so that the page's own policy stays as strict as it is.
  const source = await readFile(axePath, 'utf8')
  const session = await context.newCDPSession(page)
  await session.send('Runtime.evaluate', { expression: `${source};0` })
  const findings = await page.evaluate(async () => {
    const axe = (window as unknown as { axe: typeof import('axe-core') }).axe
    const { violations } = await axe.run(document, { resultTypes: ['violations'] })
    return violations
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(({ id, nodes }) => `${id}: ${nodes.map(node => node.html.slice(0, 160)).join(' | ')}`)
  })
  await session.detach()
  return findings
}

test('without WebGL the table and the answers still work', async () => {
  await page.addInitScript(() => {
    const plain = HTMLCanvasElement.prototype.getContext
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...rest: unknown[]) {
      return kind.startsWith('webgl') ? null : Reflect.apply(plain, this, [kind, ...rest])
    } as typeof plain
  })
  await openWindow()
  await page.getByText('The map cannot be drawn here').waitFor()
  await page.keyboard.press('t')
  await poll(() => page.locator('.grid-row').count()).toBeGreaterThan(5)
})
