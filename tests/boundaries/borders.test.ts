import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterEach, expect, test } from 'vitest'
import { findBorderViolations } from '../../electron/build/borders.mjs'

const folders: string[] = []
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true })
})

/** A tiny checkout with the given files. */
function plant(files: Record<string, string>): string {
  const base = mkdtempSync(join(tmpdir(), 'borders-'))
  folders.push(base)
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(dirname(join(base, name)), { recursive: true })
    writeFileSync(join(base, name), text)
  }
  return base
}

test('the borders hold in this checkout, and the check sees its modules', async () => {
  const { modules, violations } = await findBorderViolations(join(import.meta.dirname, '../..'))
  expect(violations).toEqual([])
  expect(modules).toBeGreaterThan(100)
})

const NOUN = 'export interface Noun { readonly a: number }\n'
const PLANTED: readonly [rule: string, files: Record<string, string>][] = [
  ['core-is-pure', { 'core/geo/a.ts': "import { readFileSync } from 'node:fs'\nexport const a = readFileSync\n" }],
  ['core-is-pure', { 'core/geo/a.ts': 'export const a = () => Math.random()\n' }],
  ['core-is-pure', { 'core/geo/a.ts': 'let count = 0\nexport const a = () => ++count\n' }],
  [
    'questions-do-not-meet',
    {
      'core/vet/a.ts': "import type { Noun } from '../outline/b.ts'\nexport type A = Noun\n",
      'core/outline/b.ts': NOUN,
    },
  ],
  [
    'model-stands-alone',
    { 'core/model/a.ts': "import type { Noun } from '../geo/b.ts'\nexport type A = Noun\n", 'core/geo/b.ts': NOUN },
  ],
  [
    'tools-know-no-question',
    { 'core/geo/a.ts': "import type { Noun } from '../vet/b.ts'\nexport type A = Noun\n", 'core/vet/b.ts': NOUN },
  ],
  [
    'faces-go-through-the-desk',
    { 'renderer/a.ts': "import type { Noun } from '../core/vet/b.ts'\nexport type A = Noun\n", 'core/vet/b.ts': NOUN },
  ],
  [
    'faces-do-not-meet',
    { 'renderer/a.ts': "import type { Noun } from '../electron/b.ts'\nexport type A = Noun\n", 'electron/b.ts': NOUN },
  ],
  [
    'core-knows-no-face',
    { 'core/a.ts': "import type { Noun } from '../renderer/b.ts'\nexport type A = Noun\n", 'renderer/b.ts': NOUN },
  ],
  [
    'no-cycles',
    {
      'core/geo/a.ts': "import type { B } from './b.ts'\nexport type A = B | 1\n",
      'core/geo/b.ts': "import type { A } from './a.ts'\nexport type B = A | 2\n",
    },
  ],
]

test.each(PLANTED)('a planted violation of %s is found', async (rule, files) => {
  const { violations } = await findBorderViolations(plant(files))
  expect(violations.some(violation => violation.startsWith(`${rule}:`))).toBe(true)
})
