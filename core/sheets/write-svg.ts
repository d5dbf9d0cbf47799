import type {
  DisplayList,
  FontFace,
  GroupOperator,
  HatchFill,
  Operator,
  PathOperator,
  TextOperator,
} from './display-list.ts'
import { FONT_FACES } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'
import { hatchTile } from './hatch.ts'

export interface SvgOptions {
  /** Which page; 0 is the first. */
  readonly page?: number
  /** Fonts inside the file, so that it looks the same everywhere; without them it names the families. */
  readonly isEmbedding?: boolean
}

const FAMILY: Readonly<Record<FontFace, { family: string; weight: number; style: string; fallback: string }>> = {
  sans: { family: 'IBM Plex Sans', weight: 400, style: 'normal', fallback: 'sans-serif' },
  'sans-bold': { family: 'IBM Plex Sans', weight: 600, style: 'normal', fallback: 'sans-serif' },
  'sans-italic': { family: 'IBM Plex Sans', weight: 400, style: 'italic', fallback: 'sans-serif' },
  'serif-bold': { family: 'IBM Plex Serif', weight: 600, style: 'normal', fallback: 'serif' },
}

/** One page as SVG 1.1: text stays text, sizes are points. The same list gives the same text. */
export function writeSvg(list: DisplayList, fonts: SheetFonts, options: SvgOptions = {}): string {
  const page = list.pages[options.page ?? 0]
  if (page === undefined) throw new Error(`The sheet has ${list.pages.length} pages.`)
  const scribe: Scribe = { patterns: new Map(), clips: 0, defs: [] }
  const body = page.items.map(item => operatorSvg(scribe, item)).join('\n')
  const faces = options.isEmbedding === false ? '' : fontRules(fonts)
  const rules = FONT_FACES.map(face => {
    const { family, weight, style, fallback } = FAMILY[face]
    return `.${face}{font-family:'${family}',${fallback};font-weight:${weight};font-style:${style}}`
  })
  const [width, height] = [num(page.width), num(page.height)]
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}pt" height="${height}pt" viewBox="0 0 ${width} ${height}" role="img" xml:lang="${escaped(list.language)}">`,
    `<title>${escaped(list.title)}</title>`,
    `<desc>${escaped(list.description)}</desc>`,
    `<style>${faces}${rules.join('')}text{white-space:pre}</style>`,
    `<defs>${scribe.defs.join('')}</defs>`,
    `<rect width="${width}" height="${height}" fill="#ffffff"/>`,
    body,
    '</svg>',
    '',
  ].join('\n')
}

interface Scribe {
  readonly patterns: Map<string, string>
  clips: number
  readonly defs: string[]
}

function operatorSvg(scribe: Scribe, item: Operator): string {
  if (item.op === 'path') return pathSvg(scribe, item)
  return item.op === 'text' ? textSvg(item) : groupSvg(scribe, item)
}

function groupSvg(scribe: Scribe, group: GroupOperator): string {
  const marks: string[] = []
  if (group.layer !== undefined) marks.push(` data-layer="${escaped(group.layer)}"`)
  if (group.tag?.alt !== undefined) marks.push(` role="img" aria-label="${escaped(group.tag.alt)}"`)
  if (group.clip !== undefined) {
    const [left, top, right, bottom] = group.clip
    const id = `c${++scribe.clips}`
    const size = `width="${num(right - left)}" height="${num(bottom - top)}"`
    scribe.defs.push(`<clipPath id="${id}"><rect x="${num(left)}" y="${num(top)}" ${size}/></clipPath>`)
    marks.push(` clip-path="url(#${id})"`)
  }
  return `<g${marks.join('')}>\n${group.items.map(item => operatorSvg(scribe, item)).join('\n')}\n</g>`
}

function pathSvg(scribe: Scribe, path: PathOperator): string {
  const marks = [`fill="${path.fill === undefined ? 'none' : fillSvg(scribe, path.fill)}"`]
  if (path.fill !== undefined) marks.push('fill-rule="evenodd"')
  const { stroke } = path
  if (stroke !== undefined) {
    marks.push(`stroke="${stroke.colour}" stroke-width="${num(stroke.width)}" stroke-linejoin="round"`)
    if (stroke.dash !== undefined) marks.push(`stroke-dasharray="${stroke.dash.map(value => num(value)).join(' ')}"`)
    if (stroke.cap === 'round') marks.push('stroke-linecap="round"')
  }
  return `<path d="${path.lines.map(line => lineSvg(line, path.isClosed)).join('')}" ${marks.join(' ')}/>`
}

function lineSvg(line: Float64Array, isClosed: boolean): string {
  const points: string[] = []
  for (let i = 0; i < line.length; i += 2) points.push(`${num(line[i]!)} ${num(line[i + 1]!)}`)
  return `M${points.join('L')}${isClosed ? 'Z' : ''}`
}

function fillSvg(scribe: Scribe, fill: string | HatchFill): string {
  if (typeof fill === 'string') return fill
  const key = `${fill.hatch}/${fill.gap}/${fill.weight}/${fill.colour}`
  let id = scribe.patterns.get(key)
  if (id === undefined) {
    id = `h${scribe.patterns.size + 1}`
    scribe.patterns.set(key, id)
    scribe.defs.push(patternSvg(id, fill))
  }
  return `url(#${id})`
}

function patternSvg(id: string, fill: HatchFill): string {
  const tile = hatchTile(fill)
  const size = num(tile.size, 4)
  const lines = tile.lines.map(
    ([x0, y0, x1, y1]) =>
      `<path d="M${num(x0)} ${num(y0)}L${num(x1)} ${num(y1)}" stroke="${fill.colour}" stroke-width="${num(fill.weight)}"/>`,
  )
  const dots = tile.dots.map(
    ([x, y]) => `<circle cx="${num(x)}" cy="${num(y)}" r="${num(fill.weight / 2, 3)}" fill="${fill.colour}"/>`,
  )
  return `<pattern id="${id}" patternUnits="userSpaceOnUse" width="${size}" height="${size}">${lines.join('')}${dots.join('')}</pattern>`
}

function textSvg(text: TextOperator): string {
  const marks = [
    `class="${text.face}"`,
    `x="${num(text.x)}" y="${num(text.y)}"`,
    `font-size="${num(text.size)}"`,
    `fill="${text.colour}"`,
  ]
  if (text.align !== 'start') marks.push(`text-anchor="${text.align}"`)
  if (text.angle !== undefined) marks.push(`transform="rotate(${num(text.angle)} ${num(text.x)} ${num(text.y)})"`)
  if (text.halo !== undefined) {
    const rim = `stroke="${text.halo}" stroke-width="${num(text.size * 0.28)}" stroke-linejoin="round"`
    marks.push(`${rim} paint-order="stroke"`)
  }
  return `<text ${marks.join(' ')}>${escaped(text.text)}</text>`
}

function fontRules(fonts: SheetFonts): string {
  return FONT_FACES.flatMap(face => {
    const { family, weight, style } = FAMILY[face]
    // The last rule that holds a letter wins in a browser: files go in from the last resort to the first.
    return [...fonts.bytes[face]].reverse().map(bytes => {
      const isWoff = bytes[0] === 0x77
      const source = `url(data:font/${isWoff ? 'woff' : 'ttf'};base64,${base64(bytes)})`
      return `@font-face{font-family:'${family}';font-weight:${weight};font-style:${style};src:${source}}`
    })
  }).join('')
}

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'

/** Source: RFC 4648, section 4. */
function base64(bytes: Uint8Array): string {
  const out: string[] = []
  for (let i = 0; i < bytes.length; i += 3) {
    const block = (bytes[i]! << 16) | ((bytes[i + 1] ?? 0) << 8) | (bytes[i + 2] ?? 0)
    const text = [18, 12, 6, 0].map(shift => LETTERS[(block >> shift) & 63]!).join('')
    out.push(i + 1 >= bytes.length ? `${text.slice(0, 2)}==` : i + 2 >= bytes.length ? `${text.slice(0, 3)}=` : text)
  }
  return out.join('')
}

const escaped = (text: string): string =>
  text.replace(/[&<>"]/g, letter => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[letter]!)

function num(value: number, digits = 2): string {
  const text = value.toFixed(digits)
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text
  return short === '-0' ? '0' : short
}
