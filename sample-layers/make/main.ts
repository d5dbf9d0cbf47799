import { writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { buildCounty } from './county.ts'

/** Writes the sample county beside this folder: `npx tsx sample-layers/make/main.ts`. */
const folder = new URL('../', import.meta.url)
for (const [name, bytes] of buildCounty()) {
  writeFileSync(fileURLToPath(new URL(name, folder)), bytes)
  console.log(`${name}: ${bytes.length} bytes`)
}
