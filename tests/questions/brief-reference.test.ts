import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { z } from 'zod'
import { REPORT_FIELDS } from '../../core/formats/index.ts'
import { briefSchema } from '../../core/project/brief-schema.ts'
import { parseBrief } from '../../core/project/index.ts'

const readme = readFileSync(join(import.meta.dirname, '../../README.md'), 'utf8')
const section = readme.slice(
  readme.indexOf('## The brief'),
  readme.indexOf('\n## ', readme.indexOf('## The brief') + 5),
)

interface Node {
  readonly properties?: Readonly<Record<string, Node>>
  readonly items?: Node
  readonly anyOf?: readonly Node[]
  readonly enum?: readonly string[]
  readonly const?: string
}

const schema = z.toJSONSchema(briefSchema, { io: 'input', unrepresentable: 'any' }) as Node

/** Every entry that the schema knows, as a path without list numbers, and every word that one takes. */
function walk(node: Node, path: string, found: { paths: Set<string>; words: Set<string> }): void {
  for (const word of [...(node.enum ?? []), ...(typeof node.const === 'string' ? [node.const] : [])])
    found.words.add(word)
  for (const branch of [...(node.anyOf ?? []), ...(node.items ? [node.items] : [])]) walk(branch, path, found)
  for (const [key, value] of Object.entries(node.properties ?? {})) {
    const inner = path === '' ? key : `${path}.${key}`
    found.paths.add(inner)
    walk(value, inner, found)
  }
}

it('README lists every entry of a brief and every word that one takes', () => {
  const found = { paths: new Set<string>(), words: new Set<string>() }
  walk(schema, '', found)
  expect(found.paths.size).toBeGreaterThan(60)
  const told = (path: string): boolean => {
    if (section.includes(`\`${path}\``)) return true
    const last = path.split('.').at(-1)!
    // What every layer takes stands once; parts of a profile, a repair and a pair stand as bare names.
    if (/^layers\.\w+\.\w+$/.test(path)) return section.includes(`\`….${last}\``)
    if (/^(species|downstream\.retention_m|seasons\.detectable)\./.test(path)) return section.includes(`\`${last}\``)
    return /^downstream\.repairs\./.test(path) && section.includes('`{ id, decision }`')
  }
  const containers = ['layers', 'outline', 'vet', 'advance', 'downstream', 'plan']
  expect([...found.paths].filter(path => !containers.includes(path) && !told(path))).toEqual([])
  expect([...found.words].filter(word => !section.includes(`\`${word}\``))).toEqual([])
  expect(REPORT_FIELDS.filter(field => !section.includes(`\`${field}\``))).toEqual([])
})

it('README tells the defaults as they are', () => {
  const brief = parseBrief('{ "title": "a", "layers": { "reports": [{ "path": "r.csv" }] } }', 'brief.json')
  const row = (entry: string) =>
    section
      .split('\n')
      .find(line => line.startsWith(`| \`${entry}\``))!
      .split(' | ')[2]
  const { outline, advance, downstream, vet } = brief
  expect(row('outline.radius_m')).toBe(String(outline.radius))
  expect(row('outline.join_m')).toBe(String(outline.join))
  expect(row('outline.min_reports')).toBe(`${outline.minReports}, unconfirmed ${outline.minReportsUnconfirmed}`)
  expect(row('outline.accuracy_limit_m')).toBe(String(outline.accuracyLimit))
  expect(row('outline.largest_size_m2')!.replace(/ \(.*/, '').replace(' ', '')).toBe(String(outline.largestSize))
  expect(row('outline.minimum_hole_m2')).toBe(String(outline.minimumHole))
  expect(row('outline.minimum_area_m2')).toBe(String(outline.minimumArea))
  expect(row('outline.sliver_width_m')).toBe(String(outline.sliverWidth))
  expect(row('outline.search_radius_m')).toBe(String(outline.searchRadius))
  expect(row('outline.join_water_width_m')).toBe(String(outline.joinWaterWidth))
  expect(row('outline.bandwidth')).toBe(`\`${outline.bandwidth}\``)
  expect(row('outline.mass')).toBe(String(outline.mass))
  expect(row('outline.draws`, `outline.seed')).toBe(`${outline.draws}, ${outline.seed}`)
  expect(row('advance.step_m')).toBe(String(advance.step))
  expect(row('advance.sectors')).toBe(String(advance.sectors))
  expect(row('advance.draws`, `advance.seed')).toBe(`${advance.draws}, ${advance.seed}`)
  expect(row('downstream.snap_m')).toBe(String(downstream.snap))
  expect(row('downstream.bank_m')).toBe(String(downstream.bank))
  expect(row('downstream.bank_scale_m')).toBe(String(downstream.bankScale))
  expect(row('downstream.draws`, `downstream.seed')).toBe(`${downstream.draws}, ${downstream.seed}`)
  expect(row('vet.admit')).toBe(`\`${vet.admit}\``)
})
