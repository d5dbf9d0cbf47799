/**
 * Well-known text of a coordinate reference system as a tree of keywords.
 * Source: OGC 01-009 (2001), clause 7 (WKT 1, of which .prj files use a dialect); ISO 19162:2019 (WKT 2).
 */
export interface WktNode {
  /** In capitals. */
  readonly keyword: string
  readonly values: readonly (string | number)[]
  readonly children: readonly WktNode[]
}

/** Deeper nesting than any real system has is refused, so that a hostile file cannot exhaust the stack. */
const DEEPEST = 30

/** Absent: null for text that is not well-formed. */
export function parseWkt(text: string): WktNode | null {
  const tokens = text.match(/"(?:[^"]|"")*"|[A-Za-z_][A-Za-z0-9_]*|[-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?|[[\](),]/g) ?? []
  const place = { at: 0 }
  const root = parseNode(tokens, place, 0)
  return place.at === tokens.length ? root : null
}

function parseNode(tokens: readonly string[], place: { at: number }, depth: number): WktNode | null {
  const keyword = tokens[place.at]
  if (depth > DEEPEST || keyword === undefined || !/^[A-Za-z_]/.test(keyword)) return null
  if (!isOpening(tokens[place.at + 1])) return null
  place.at += 2
  const values: (string | number)[] = []
  const children: WktNode[] = []
  for (;;) {
    const token = tokens[place.at]
    if (token === undefined) return null
    if (isOpening(tokens[place.at + 1])) {
      const child = parseNode(tokens, place, depth + 1)
      if (child === null) return null
      children.push(child)
    } else {
      values.push(readValue(token))
      place.at++
    }
    const end = tokens[place.at++]
    if (end === ']' || end === ')') return { keyword: keyword.toUpperCase(), values, children }
    if (end !== ',') return null
  }
}

const isOpening = (token: string | undefined): boolean => token === '[' || token === '('

function readValue(token: string): string | number {
  if (token.startsWith('"')) return token.slice(1, -1).replaceAll('""', '"')
  const number = Number(token)
  return Number.isNaN(number) ? token : number
}

/** The first child of one of the keywords. */
export const findNode = (node: WktNode, ...keywords: string[]): WktNode | undefined =>
  node.children.find(child => keywords.includes(child.keyword))

/** The first quoted text of a node, its name; '' where it has none. */
export const nodeName = (node: WktNode | undefined): string => (node === undefined ? '' : String(node.values[0] ?? ''))
