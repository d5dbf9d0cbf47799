import { type CrsShape, describesSameCrs, mayDescribe, shapeDistance, shapeOfEntry, shapeOfWkt } from './crs-shape.ts'
import { type Crs, findCrs, listEntries } from './crs-table.ts'
import { findNode, nodeName, parseWkt, type WktNode } from './wkt.ts'

/** A system as a file names it. */
export interface CrsFromText {
  /** `EPSG:n` where it is one of those let in, else the name in the file. */
  readonly crs: string
  readonly name: string
}

/**
 * Reads the text of a .prj, a WKT 1 or WKT 2 text, a code (`EPSG:n`, its URN or URL) or a plain name.
 * A WKT is matched by what it says (datum, projection, parameters, unit), not by its name or code alone, since names vary
 * and a code may be wrong; where several systems fit, the code that the text gives decides, then its name, then the lowest code.
 * Absent: null for text in which no name of a system can be found.
 */
export function parseCrsText(text: string): CrsFromText | null {
  const trimmed = text.replace(/^\uFEFF/, '').trim()
  if (trimmed === '') return null
  if (!/^[A-Za-z_]+\s*[[(]/.test(trimmed)) {
    const byName = findByCodeOrName(trimmed)
    if (byName !== undefined) return { crs: byName.code, name: byName.name }
    return trimmed.length <= 200 ? { crs: trimmed, name: trimmed } : null
  }
  const root = parseWkt(trimmed)
  if (root === null) return null
  const node = horizontalPart(root)
  const name = nodeName(node)
  if (name === '') return null
  const shape = shapeOfWkt(node)
  const matched = shape === null ? undefined : findByShape(shape, codeOf(node), plainName(name))
  return { crs: matched?.code ?? name, name }
}

function findByCodeOrName(text: string): Crs | undefined {
  if (
    /^(urn:ogc:def:crs:OGC:[^:]*:CRS84|(https?:\/\/www\.opengis\.net\/def\/crs\/OGC\/[^/]*\/|OGC:)CRS84)$/i.test(text)
  ) {
    return findCrs('EPSG:4326')
  }
  const code =
    /^(?:urn:ogc:def:crs:EPSG:[^:]*:|https?:\/\/www\.opengis\.net\/def\/crs\/EPSG\/[^/]*\/|EPSG:{1,2})(\d+)$/i.exec(
      text,
    )?.[1]
  if (code !== undefined) return findCrs(`EPSG:${code}`)
  const plain = plainName(text)
  if (plain === '') return undefined
  for (const entry of listEntries()) if (plainName(entry.name) === plain) return findCrs(entry.code)
  return undefined
}

/** Letters and digits of a name, with the long forms of datum names shortened. */
function plainName(name: string): string {
  return name
    .toLowerCase()
    .replace(/[^a-z0-9]/g, '')
    .replace(/^gcs/, '')
    .replace(/^(nad1983|northamerican1983)/, 'nad83')
    .replace(/^wgs1984/, 'wgs84')
}

/** The part of a compound or bound system that says where things are on the map. */
function horizontalPart(node: WktNode): WktNode {
  if (['COMPD_CS', 'COMPOUNDCRS'].includes(node.keyword)) return horizontalPart(node.children[0] ?? node)
  const source = node.keyword === 'BOUNDCRS' ? findNode(node, 'SOURCECRS')?.children[0] : undefined
  return source === undefined ? node : horizontalPart(source)
}

function codeOf(node: WktNode): string | undefined {
  const authority = findNode(node, 'AUTHORITY', 'ID')
  return authority?.values[0] === 'EPSG' ? `EPSG:${authority.values[1]}` : undefined
}

function findByShape(shape: CrsShape, code: string | undefined, name: string): Crs | undefined {
  const fitting: { crs: Crs; distance: number; isNamed: boolean }[] = []
  for (const { code, projection } of listEntries()) {
    if (!mayDescribe(projection, shape)) continue
    const crs = findCrs(code)!
    const entry = shapeOfEntry(crs)
    if (!describesSameCrs(shape, entry)) continue
    // Neighbouring states share a zone's mathematics (New York East and New Jersey): there the name decides.
    const zone = plainName(crs.name.replace(/^.*\/ | \(.*$/g, ''))
    fitting.push({ crs, distance: shapeDistance(shape, entry), isNamed: name.includes(zone) })
  }
  const stated = fitting.find(({ crs }) => crs.code === code)
  if (stated !== undefined) return stated.crs
  const number = (crs: Crs) => Number(crs.code.slice(5))
  fitting.sort(
    (a, b) => Number(b.isNamed) - Number(a.isNamed) || a.distance - b.distance || number(a.crs) - number(b.crs),
  )
  return fitting[0]?.crs
}
