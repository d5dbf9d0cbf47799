// `npm run borders`: the import rules, and what core may not know (clock, chance, state between calls).
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join, relative, resolve } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { cruise } from 'dependency-cruiser'

const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '..', '..')

const IMPURE = [
  { pattern: /\bMath\.random\b/, reason: 'chance comes from a seeded generator that is passed in' },
  { pattern: /\bDate\.now\b|\bnew Date\(\s*\)|\bperformance\.now\b/, reason: 'core knows no clock' },
  { pattern: /^(export )?(let|var) /m, reason: 'state between calls lives with the caller' },
]

/** Violations of the import rules below a folder that holds core/, renderer/ or electron/. */
export async function findBorderViolations(base) {
  const rules = createRequire(import.meta.url)(join(ROOT, '.dependency-cruiser.cjs'))
  const folders = ['core', 'renderer', 'electron'].filter(name => isFolder(join(base, name)))
  const { output } = await cruise(folders, {
    ...rules.options,
    ruleSet: rules,
    validate: true,
    baseDir: base,
    tsConfig: { fileName: join(ROOT, 'tsconfig.base.json') },
  })
  const imports = output.summary.violations.map(
    violation => `${violation.rule.name}: ${violation.from} -> ${violation.to}`,
  )
  return { modules: output.summary.totalCruised, violations: [...imports, ...findImpurities(base)] }
}

function findImpurities(base) {
  return listSources(join(base, 'core')).flatMap(file => {
    const code = readFileSync(file, 'utf8').replace(/\/\*[\s\S]*?\*\/|(?<!:)\/\/.*$/gm, '')
    return IMPURE.filter(rule => rule.pattern.test(code)).map(
      rule => `core-is-pure: ${relative(base, file)}: ${rule.reason}`,
    )
  })
}

function listSources(path) {
  if (!isFolder(path)) return []
  return readdirSync(path, { withFileTypes: true }).flatMap(entry => {
    const full = join(path, entry.name)
    if (entry.isDirectory()) return entry.name === 'make' ? [] : listSources(full)
    return /\.tsx?$/.test(entry.name) && !entry.name.endsWith('.d.ts') ? [full] : []
  })
}

function isFolder(path) {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const { modules, violations } = await findBorderViolations(ROOT)
  for (const violation of violations) console.error(violation)
  // A cruiser that sees no module would find no violation either.
  if (modules === 0) console.error('No module was cruised: the check itself is broken.')
  console.error(`Borders: ${modules} modules, ${violations.length} violations.`)
  process.exitCode = modules === 0 || violations.length > 0 ? 1 : 0
}
