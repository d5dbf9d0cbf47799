/**
 * The workstation as it ships: the built window from the real window host, the real desk on the sample county, in a real
 * Chromium. One page lives through the whole file, as a person's would.
 */
import { spawnSync } from 'node:child_process'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { buildTargets } from '../../electron/build/build.mjs'
import type { WindowHost } from '../../electron/host/server.ts'
import { CHROMIUM_ARGS, findChromium } from './chromium.ts'
import { type Answered, type Clock, type Spread, spreadOf, timeToPaint } from './time-to-paint.ts'
import { type PageWatch, seriousFindings, watchPage } from './watch-page.ts'

const ROOT = join(import.meta.dirname, '../..')
/** The bar of the window: hover, pick and season answer within this on the sample. */
const BAR_MS = 100
/** Timed assertions on a machine that others use too must be generous; the figures themselves are printed. */
const SLACK = 5
/** The map is drawn in software here, which a graphics processor is not; only a breakdown should fail. */
const SLACK_DRAWN_IN_SOFTWARE = 15

let host: WindowHost
let browser: Browser
let page: Page
let watch: PageWatch

beforeAll(async () => {
  await buildTargets(['host', 'renderer'])
  const built = (await import(
    /* @vite-ignore */ pathToFileURL(join(ROOT, 'dist/host/host.mjs')).href
  )) as typeof import('../../electron/host/main.ts')
  host = await built.startHost({ root: join(ROOT, 'dist/renderer'), brief: join(ROOT, 'sample-layers/brief.json') })
  browser = await chromium.launch({ executablePath: await findChromium(), args: CHROMIUM_ARGS })
  const context = await browser.newContext({
    viewport: { width: 1280, height: 800 },
    colorScheme: 'light',
    locale: 'en-US',
  })
  page = await context.newPage()
  page.setDefaultTimeout(90_000)
  watch = await watchPage(page)
}, 180_000)

afterAll(async () => {
  await browser?.close()
  await host?.close()
})

const QUESTIONS = [
  'What came in?',
  'Which reports hold?',
  'Where is it?',
  'How far did it move?',
  'Where will water carry it?',
  'What do we hand out?',
]
const words = (place: string) => page.locator(place).innerText()
const sheet = () => page.getByRole('complementary', { name: 'Answer' })
const legend = () => page.getByRole('region', { name: 'Legend' })
const bar = () => page.getByRole('progressbar', { name: 'Running the season' })
const ask = async (question: string) => {
  await page.getByRole('navigation', { name: 'Questions' }).getByRole('button', { name: question }).click()
  await page.locator('.sheet-question', { hasText: question }).waitFor()
}
const progress = async () => Number((await bar().getAttribute('aria-valuenow', { timeout: 2000 })) ?? 0)

test('opens the sample and answers all of its questions', async () => {
  await page.goto(host.address)
  await page.locator('.sheet-answer .figure').first().waitFor()
  await page.getByRole('progressbar').waitFor({ state: 'detached' })
  expect(page.url()).not.toContain('#')
  expect(await words('.district')).toContain('Tollavane County')
  const spine = await page.locator('.spine-answer').allInnerTexts()
  expect(spine).toHaveLength(QUESTIONS.length)
  for (const answer of spine) expect(answer).toMatch(/\d/)
  expect(await words('.sheet-answer')).toMatch(/ \d[\d.,]* ac .* patches/)
  await expect.poll(() => mapColours(), { timeout: 30_000 }).toBeGreaterThan(40)
}, 120_000)

/** How many different colours the middle of the map holds: a blank map has few. */
async function mapColours(): Promise<number> {
  const shot = await page.locator('.map-canvas').screenshot()
  return page.evaluate(async text => {
    const bytes = Uint8Array.from(atob(text), letter => letter.charCodeAt(0))
    const picture = await createImageBitmap(new Blob([bytes], { type: 'image/png' }))
    const pen = new OffscreenCanvas(picture.width, picture.height).getContext('2d')!
    pen.drawImage(picture, 0, 0)
    const { data } = pen.getImageData(picture.width / 4, picture.height / 4, picture.width / 2, picture.height / 2)
    const seen = new Set<number>()
    for (let i = 0; i < data.length; i += 4) seen.add((data[i]! << 16) | (data[i + 1]! << 8) | data[i + 2]!)
    return seen.size
  }, shot.toString('base64'))
}

test('a run stopped in its middle changes nothing, and the next one runs through to the same answer', async () => {
  const state = async () => ({
    answer: await sheet().innerText(),
    spine: await page.locator('.spine-answer').allInnerTexts(),
    legend: await legend().innerText(),
  })
  const before = await state()
  await page.getByRole('button', { name: 'Run the season' }).click()
  await expect.poll(progress, { timeout: 60_000, interval: 50 }).toBeGreaterThan(30)
  await page.getByRole('button', { name: 'Stop', exact: true }).click()
  const asked = performance.now()
  await page.getByText('Stopped. Nothing was changed.').waitFor()
  const stopped = performance.now() - asked
  console.log(`A run stops within ${Math.round(stopped)} ms of being asked to.`)
  expect(stopped).toBeLessThan(1000 * SLACK)
  expect(await state()).toEqual(before)
  await page.getByRole('button', { name: 'Run the season' }).click()
  await page.getByText('The season is worked out.').waitFor()
  expect(await state()).toEqual(before)
}, 120_000)

test('two seasons stand side by side on the map and in the answer', async () => {
  await ask('How far did it move?')
  const strip = page.getByRole('region', { name: 'Seasons' })
  await strip.locator('[data-season="2025"]').click()
  const before = await words('.sheet-answer')
  await strip.locator('[data-season="2022"]').click({ modifiers: ['Shift'] })
  await legend().getByText('patches, 2022', { exact: true }).waitFor()
  await legend().getByText('patches, 2025', { exact: true }).waitFor()
  await strip.getByRole('button', { name: 'Stop comparing with 2022' }).waitFor()
  await expect.poll(() => words('.sheet-answer')).not.toBe(before)
  await strip.getByRole('button', { name: 'Compare with 2024' }).click()
  await legend().getByText('patches, 2024', { exact: true }).waitFor()
  expect(await words('.sheet-answer')).toBe(before)
})

test('a sheet is saved as a PDF with every font in it', async () => {
  await ask('What do we hand out?')
  const preview = page.locator('.sheet-preview img').first()
  await preview.waitFor()
  expect(await preview.evaluate((image: HTMLImageElement) => image.naturalWidth > 0)).toBe(true)
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page
      .getByRole('button', { name: /^Save .* as PDF$/ })
      .first()
      .click(),
  ])
  expect(download.suggestedFilename()).toBe('season-review-2025-with-2024.pdf')
  const pdf = (await readFile(await download.path())).toString('latin1')
  expect(pdf.slice(0, 5)).toBe('%PDF-')
  expect(pdf.trimEnd().endsWith('%%EOF')).toBe(true)
  // ISO 32000-2, 9.8: a font whose program is embedded names it in its descriptor (FontFile, FontFile2 or FontFile3).
  const descriptors = pdf.match(/<<[^<>]*\/Type \/FontDescriptor[^<>]*>>/g) ?? []
  expect(descriptors.length).toBeGreaterThan(1)
  for (const descriptor of descriptors) expect(descriptor).toMatch(/\/FontFile[23]? \d+ 0 R/)
  await page.getByText('Saved season-review-2025-with-2024.pdf.').waitFor()
})

test('the saved sheet, as pdffonts reads it', async context => {
  context.skip(spawnSync('pdffonts', ['-v']).error !== undefined, 'pdffonts is not installed (Debian: poppler-utils)')
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page
      .getByRole('button', { name: /^Save .* as PDF$/ })
      .first()
      .click(),
  ])
  const { stdout, stderr, status } = spawnSync('pdffonts', [await download.path()], { encoding: 'utf8' })
  expect({ stderr, status }).toEqual({ stderr: '', status: 0 })
  const rows = stdout.trimEnd().split('\n').slice(2)
  expect(rows.length).toBeGreaterThan(1)
  // Columns: name type encoding emb sub uni object ID.
  for (const row of rows) expect(row).toMatch(/ yes yes (yes|no) +\d+ +0$/)
})

test('hover, pick and season answer at once', async () => {
  await ask('Where is it?')
  await page.waitForTimeout(1000)
  const box = (await page.locator('.map-canvas').boundingBox())!
  const times = { hover: await timeHovers(box), pick: await timePicks(box), season: await timeSeasons() }
  for (const [act, taken] of Object.entries(times)) {
    const result = spreadOf(taken.map(time => time.result))
    const painted = spreadOf(taken.map(time => time.painted))
    const say = ({ median, max }: Spread) => `median ${median} ms, greatest ${max} ms`
    console.log(
      `${act}: in the page ${say(result)}; painted ${say(painted)} (${taken.length} of them, bar ${BAR_MS} ms)`,
    )
    expect(taken.length, act).toBeGreaterThanOrEqual(6)
    // The browser hands on moves of the pointer frame by frame, so a hover waits for the frame before.
    expect(result.median, act).toBeLessThan(BAR_MS * (act === 'hover' ? SLACK_DRAWN_IN_SOFTWARE : SLACK))
    expect(painted.median, act).toBeLessThan(BAR_MS * SLACK_DRAWN_IN_SOFTWARE)
  }
}, 180_000)

test('where water carries it follows the season shown: legend, words, spine and map, at once', async () => {
  await ask('Where will water carry it?')
  const spine = () => page.locator('.spine-answer').nth(4).innerText()
  const before = { answer: await words('.sheet-answer'), spine: await spine(), sheet: await sheet().innerText() }
  expect(before.sheet).toMatch(/first tenth of bank and .* on its first quarter; distance alone .* chance/)
  const drawn = await page.locator('.map-canvas').screenshot()
  await page.locator('[data-season="2021"]').click()
  await legend().getByText('look first, 2021', { exact: true }).waitFor()
  await legend().getByText('parcels, infested, 2025', { exact: true }).waitFor()
  await expect.poll(() => words('.sheet-answer')).not.toBe(before.answer)
  expect(await spine()).not.toBe(before.spine)
  const told = await sheet().innerText()
  expect(told).toContain('of 2021 near water')
  expect(told).toContain('parcels are worked out for the newest season alone, 2025')
  expect((await page.locator('.map-canvas').screenshot()).equals(drawn)).toBe(false)
  await page.locator('[data-season="2025"]').click()
  await expect.poll(() => words('.sheet-answer')).toBe(before.answer)
  const times = await timeSeasons('look first')
  const result = spreadOf(times.map(time => time.result))
  const painted = spreadOf(times.map(time => time.painted))
  console.log(`season, water: in the page median ${result.median} ms; painted ${painted.median} ms (${times.length})`)
  expect(result.median).toBeLessThan(BAR_MS * SLACK)
  expect(painted.median).toBeLessThan(BAR_MS * SLACK_DRAWN_IN_SOFTWARE)
}, 90_000)

test('Enter goes to the first that is found, another season is shown when it is picked, and a card leaves with its patch', async () => {
  await ask('Where is it?')
  await page.locator('[data-season="2025"]').click()
  await page.locator('.season-band.is-shown [data-season="2025"]').waitFor()
  // What an earlier test compares with would be drawn beside it.
  if ((await page.locator('.season-band.is-compared [data-season="2024"]').count()) === 0)
    await page.locator('[data-season="2024"]').click({ modifiers: ['Shift'] })
  await page.locator('.season-band.is-compared [data-season="2024"]').waitFor()
  const find = page.locator('#find')
  await find.fill('P07')
  await find.press('Enter')
  await page.getByRole('complementary', { name: 'About Patch P07, 2025' }).waitFor()
  await find.fill('P07')
  await page.getByRole('option', { name: /P07, 2021/ }).click()
  await page.getByRole('complementary', { name: 'About Patch P07, 2021' }).waitFor()
  await page.locator('.season-band.is-shown [data-season="2021"]').waitFor()
  await page.locator('[data-season="2023"]').click()
  await page.locator('.card').waitFor({ state: 'detached' })
  await page.locator('[data-season="2025"]').click()
  await legend().getByText('patches, 2025', { exact: true }).waitFor()
}, 60_000)

test('a narrow window scrolls, and cuts nothing off', async () => {
  await page.setViewportSize({ width: 700, height: 800 })
  const parts = await page.evaluate(() =>
    ['.masthead', '.map', '.seasons', '.left', '.sheet'].map(place => {
      const part = document.querySelector(place)!
      const { left, right, top, bottom } = part.getBoundingClientRect()
      // The map draws anew for its size; it holds no text that could be cut.
      const isCut = place !== '.map' && part.scrollHeight > Math.ceil(bottom - top) + 1
      return { place, left, right, top, bottom, isCut }
    }),
  )
  for (const [i, part] of parts.entries()) {
    expect(part, part.place).toMatchObject({ left: 0, right: 700, isCut: false })
    if (i > 0) expect(part.top, part.place).toBeGreaterThanOrEqual(parts[i - 1]!.bottom - 1)
  }
  await page.setViewportSize({ width: 1280, height: 800 })
})

interface Frame {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** Places over the middle of the map, far apart, in the order of a golden-ratio sequence. */
function placesIn({ x, y, width, height }: Frame, count: number): [number, number][] {
  return Array.from({ length: count }, (_, i) => [
    x + width * (0.3 + 0.4 * ((0.618034 * i) % 1)),
    y + height * (0.25 + 0.5 * ((i + 0.5) / count)),
  ])
}

/** Times an act at each place; a place that shows nothing new (the same parcel again) is passed over. */
async function timeAt(places: [number, number][], clock: Clock, act: (x: number, y: number) => Promise<void>) {
  const times: Answered[] = []
  for (const [x, y] of places) {
    const timed = await timeToPaint(page, clock, () => act(x, y))
    if (timed !== null) times.push(timed)
    await page.waitForTimeout(60)
  }
  return times
}

const timeHovers = (box: Frame): Promise<Answered[]> =>
  timeAt(placesIn(box, 14), { event: 'mousemove', result: '.hover-tip strong' }, (x, y) => page.mouse.move(x, y))

const timePicks = (box: Frame): Promise<Answered[]> =>
  timeAt(placesIn(box, 12), { event: 'click', result: '.card h3' }, (x, y) => page.mouse.click(x, y))

async function timeSeasons(row = 'finds'): Promise<Answered[]> {
  const times: Answered[] = []
  for (const season of ['2021', '2023', '2022', '2024', '2021', '2025', '2022', '2025']) {
    const clock: Clock = { event: 'click', result: '.legend', words: `${row}, ${season}` }
    const timed = await timeToPaint(page, clock, () => page.locator(`[data-season="${season}"]`).click())
    if (timed !== null) times.push(timed)
    await page.waitForTimeout(60)
  }
  return times
}

test.each([
  ['light', 1280, 800],
  ['dark', 1920, 1080],
] as const)(
  'axe finds nothing serious on any question, and all of it fits: %s, %i x %i',
  async (colorScheme, width, height) => {
    await page.setViewportSize({ width, height })
    await page.emulateMedia({ colorScheme })
    for (const question of QUESTIONS) {
      await ask(question)
      expect(await seriousFindings(page), question).toEqual([])
      const { wide, high } = await page.evaluate(() => ({
        wide: document.documentElement.scrollWidth - window.innerWidth,
        high: document.documentElement.scrollHeight - window.innerHeight,
      }))
      expect([wide, high], question).toEqual([0, 0])
    }
    const ground = await page.evaluate(() => getComputedStyle(document.body).backgroundColor)
    const brightness = Number(/\d+/.exec(ground)?.[0])
    expect(colorScheme === 'dark' ? brightness < 90 : brightness > 160, ground).toBe(true)
  },
  60_000,
)

test('the console stayed clean and nothing left 127.0.0.1', () => {
  expect(watch.own.length).toBeGreaterThan(10)
  expect(watch.own.some(address => /desk-worker/.test(address))).toBe(true)
  expect(watch.complaints).toEqual([])
  expect(watch.strangers).toEqual([])
})
