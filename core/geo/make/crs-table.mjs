/**
 * Makes core/geo/crs-table.json, the list of coordinate reference systems that are let in, from epsg-index.
 * Run: node core/geo/make/crs-table.mjs
 * Each entry: code -> [name, projection in PROJ's words, west, south, east, north of its area of use].
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'

const all = JSON.parse(readFileSync(createRequire(import.meta.url).resolve('epsg-index/all.json'), 'utf8'))
const LET_IN = /^(NAD83(\((HARN|NSRS2007|2011)\))? \/ |WGS 84 \/ (UTM zone \d+[NS]|Pseudo-Mercator)$)/
const GLOBES = ['4326', '4269', '4152', '4759', '6318']
const PROJECTIONS = /\+proj=(longlat|utm|tmerc|lcc|aea|merc) /

const table = {}
const codes = Object.keys(all).sort((a, b) => Number(a) - Number(b))
for (const code of codes) {
  const { name, kind, proj4, bbox } = all[code]
  const isListed = GLOBES.includes(code) || (kind === 'CRS-PROJCRS' && LET_IN.test(name) && Number(code) < 32768)
  if (!isListed || !proj4 || !bbox || !PROJECTIONS.test(proj4)) continue
  // NAD83 is taken as WGS 84: no shift of datum is ever made, so none may be named.
  const text = proj4
    .replace(/ \+towgs84=0,0,0,0,0,0,0| \+nadgrids=@null| \+wktext| \+no_defs| \+type=crs/g, '')
    .replace('+datum=WGS84', '+ellps=WGS84')
    .replace('+datum=NAD83', '+ellps=GRS80')
  if (/towgs84|nadgrids|\+datum/.test(text)) throw new Error(`EPSG:${code} still names a datum: ${text}`)
  const [north, west, south, east] = bbox
  table[code] = [name, text, west, south, east, north]
}
const lines = Object.entries(table).map(([code, entry]) => `"${code}":${JSON.stringify(entry)}`)
writeFileSync(new URL('../crs-table.json', import.meta.url), `{\n${lines.join(',\n')}\n}\n`)
console.log(`${lines.length} coordinate reference systems`)
