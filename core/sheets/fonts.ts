/// <reference path="./pdfkit.d.ts" />
import PDFDocument, { type EmbeddedFontClass, type PdfFont } from 'pdfkit'
import { InputError } from '../model/problem.ts'
import { FONT_FACES, type FontFace } from './display-list.ts'
import { unpackWoff } from './unpack-woff.ts'

/** Font files (.woff, .ttf, .otf) a face, in the order in which they are asked for a letter. */
export type FontBytes = Readonly<Record<FontFace, readonly Uint8Array[]>>

/** Text that one font file can set. */
export interface FontRun {
  readonly text: string
  /** Index into the face's files. */
  readonly file: number
}

/** Opened fonts: measures text with the metrics that the page will be set with. Points. */
export interface SheetFonts {
  readonly bytes: FontBytes
  /** The faces as opened, for documents to embed. */
  readonly faces: OpenedFaces
  width(text: string, face: FontFace, size: number): number
  /** Height above and depth below the baseline (positive) of letters, figures and accents in use. */
  extent(face: FontFace, size: number): { readonly above: number; readonly below: number }
  runs(text: string, face: FontFace): FontRun[]
}

/**
 * Opens the faces that sheets are set in.
 * Errors: InputError for a face without a file and for .woff2, which cannot be embedded.
 */
export function openFonts(bytes: FontBytes): SheetFonts {
  const faces = openFaces(new PDFDocument({ autoFirstPage: false, font: null }), bytes)
  const runs = (text: string, face: FontFace) => splitRuns(text, faces[face])
  const known = Object.fromEntries(FONT_FACES.map(face => [face, new Map<string, number>()]))
  const widthOfWord = (word: string, face: FontFace): number => {
    let width = known[face]!.get(word)
    if (width === undefined) {
      width = runs(word, face).reduce((sum, run) => sum + faces[face][run.file]!.widthOfString(run.text, 1), 0)
      known[face]!.set(word, width)
    }
    return width
  }
  // By word and space, as text is set word by word: lines that are tried at many widths share their words. None of the
  // faces draws a letter nearer to a space, so that the sum is the width of the line.
  const widthOf = (text: string, face: FontFace): number => {
    let width = 0
    for (let from = 0; from < text.length; ) {
      const space = text.indexOf(' ', from)
      const end = space < 0 ? text.length : space
      if (end > from) width += widthOfWord(text.slice(from, end), face)
      if (space >= 0) width += widthOfWord(' ', face)
      from = end + 1
    }
    return width
  }
  return {
    bytes,
    faces,
    runs,
    width: (text, face, size) => widthOf(text, face) * size,
    extent(face, size) {
      // Line metrics leave room for stacked accents that no label here uses; these hold capitals with one accent and descenders.
      const font = faces[face][0]!
      return {
        above: (Math.min(font.ascender, 780) * size) / 1000,
        below: (Math.min(-font.descender, 225) * size) / 1000,
      }
    },
  }
}

export type OpenedFaces = Readonly<Record<FontFace, readonly PdfFont[]>>

function openFaces(document: PDFDocument, bytes: FontBytes): OpenedFaces {
  const open = (face: FontFace) => {
    const files = bytes[face]
    if (files.length === 0) throw fontError(face, 'no font file was given', 'Give at least one .woff or .ttf file.')
    return files.map((file, index) => {
      checkFormat(file, face)
      const name = `${face}-${index}`
      document.registerFont(name, unpackWoff(file))
      return document.font(name)._font
    })
  }
  return Object.fromEntries(FONT_FACES.map(face => [face, open(face)])) as Record<FontFace, PdfFont[]>
}

/**
 * The opened faces as fonts of another document, each with a subset of its own; what was parsed and laid out is shared.
 * pdfkit has no call for it: a font is made by its own class and entered where the document looks when it ends.
 */
export function embedFaces(document: PDFDocument, faces: OpenedFaces): OpenedFaces {
  let count = 0
  const embed = (face: FontFace) =>
    faces[face].map((opened, index) => {
      const Embedded = opened.constructor as EmbeddedFontClass
      const font = new Embedded(document, opened.font, `F${++count}`)
      font.layoutCache = opened.layoutCache
      document._fontFamilies[`${face}-${index}`] = font
      return font
    })
  return Object.fromEntries(FONT_FACES.map(face => [face, embed(face)])) as unknown as OpenedFaces
}

/** Splits text where another file of the face has to step in; a letter that none holds is set with the first one's mark for it. */
function splitRuns(text: string, fonts: readonly PdfFont[]): FontRun[] {
  const runs: { text: string; file: number }[] = []
  for (const letter of text) {
    const found = fonts.findIndex(font => font.font.hasGlyphForCodePoint(letter.codePointAt(0)!))
    const file = Math.max(found, 0)
    const last = runs.at(-1)
    if (last !== undefined && last.file === file) last.text += letter
    else runs.push({ text: letter, file })
  }
  return runs
}

function checkFormat(file: Uint8Array, face: FontFace): void {
  const tag = String.fromCharCode(...file.slice(0, 4))
  if (tag === 'wOF2') throw fontError(face, 'a .woff2 font cannot be embedded', 'Give the .woff or .ttf file.')
  const isKnown = tag === 'wOFF' || tag === 'OTTO' || tag === 'true' || tag === '\0\u0001\0\0'
  if (!isKnown) throw fontError(face, 'this is no font file', 'Give a .woff, .ttf or .otf file.')
}

const fontError = (face: FontFace, reason: string, remedy: string): InputError =>
  new InputError({ code: 'sheet-font', field: face, reason, remedy })
