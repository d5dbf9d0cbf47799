/** What a page can reach with the tokens that it was given: its file, or its brief's folder, and nothing beside. */
import { execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { InputError } from '../../core/model/index.ts'
import { TokenDesk } from '../../electron/files/token-desk.ts'

const home = mkdtempSync(join(tmpdir(), 'vinereach-tokens-'))
const county = join(home, 'county')
const tokens = new TokenDesk()
let brief: string
let layer: string

beforeAll(() => {
  mkdirSync(join(county, 'layers'), { recursive: true })
  mkdirSync(join(county, '.keys'))
  mkdirSync(`${county}-other`)
  for (const file of [
    'county/brief.json',
    'county/layers/a.csv',
    'county/.keys/id',
    'county-other/b.csv',
    'outside.csv',
  ])
    writeFileSync(join(home, file), file)
  writeFileSync(join(county, '.env'), 'hidden')
  symlinkSync(join(home, 'outside.csv'), join(county, 'link.csv'))
  symlinkSync(home, join(county, 'up'))
  symlinkSync(join(county, '.env'), join(county, 'shown.csv'))
  symlinkSync(join(county, 'layers/a.csv'), join(county, 'inside.csv'))
  brief = tokens.give(join(county, 'brief.json'), 'folder').token
  layer = tokens.give(join(county, 'layers/a.csv'), 'file').token
})
afterAll(() => rmSync(home, { recursive: true, force: true }))

const read = async (token: string, name?: string) => new TextDecoder().decode(await tokens.read(token, name))
const refusal = (token: string, name?: string) =>
  tokens.read(token, name).then(
    () => 'read',
    (error: unknown) => (error instanceof InputError ? error.problem.code : String(error)),
  )

test('a token opens its file, and a brief its folder', async () => {
  expect(await read(brief)).toBe('county/brief.json')
  expect(await read(layer)).toBe('county/layers/a.csv')
  expect(await read(brief, 'layers/a.csv')).toBe('county/layers/a.csv')
  expect(await read(brief, './layers/../layers/a.csv')).toBe('county/layers/a.csv')
  expect(await read(brief, 'inside.csv')).toBe('county/layers/a.csv')
})

test.each([
  '../outside.csv',
  '../county-other/b.csv',
  'layers/../../outside.csv',
  'link.csv',
  'up/outside.csv',
  '.env',
  'shown.csv',
  '.keys/id',
  'layers/../.keys/id',
  '.',
  '/etc/passwd',
  'brief.json\0.csv',
])('a brief does not open %j', async name => {
  expect(await refusal(brief, name)).toBe('file-outside-folder')
})

test('any other file opens nothing beside itself', async () => {
  expect(await refusal(layer, 'a.csv')).toBe('file-outside-folder')
  expect(await refusal(layer, '../brief.json')).toBe('file-outside-folder')
})

test('tokens that were not given open nothing', async () => {
  for (const token of [
    '',
    'x',
    join(county, 'brief.json'),
    '__proto__',
    brief.toLowerCase(),
    `${brief} `,
    brief.slice(1),
  ])
    expect(await refusal(token), token).toBe('unknown-token')
})

test('tokens of one file are not one another, and none says anything about its path', () => {
  const again = tokens.give(join(county, 'brief.json'), 'folder')
  expect(again.token).not.toBe(brief)
  expect(again.token).toMatch(/^[\w-]{22}$/)
  expect(again.name).toBe('brief.json')
})

test('folders and missing files are said so, without their paths', async () => {
  for (const name of ['layers', 'nothing.csv']) {
    const error = await tokens.read(brief, name).catch((caught: unknown) => caught)
    expect(error).toBeInstanceOf(InputError)
    expect(JSON.stringify((error as InputError).problem)).not.toContain(home)
  }
})

test.skipIf(process.platform === 'win32')('a pipe is refused instead of being waited for', async () => {
  execFileSync('mkfifo', [join(county, 'pipe.csv')])
  expect(await refusal(brief, 'pipe.csv')).toBe('file-unreadable')
  expect(await refusal(tokens.give(join(county, 'pipe.csv'), 'file').token)).toBe('file-unreadable')
})
