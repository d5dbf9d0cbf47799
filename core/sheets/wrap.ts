import type { FontFace } from './display-list.ts'
import type { SheetFonts } from './fonts.ts'

/** Text as lines that fit `width` points; words longer than a line are broken between letters. Non-breaking spaces hold. */
export function wrapText(text: string, face: FontFace, size: number, width: number, fonts: SheetFonts): string[] {
  const lines: string[] = []
  let open = ''
  const fits = (line: string) => fonts.width(line, face, size) <= width
  for (const word of text.split(' ').flatMap(one => piecesOf(one, fits))) {
    const longer = open === '' ? word : `${open} ${word}`
    if (open === '' || fits(longer)) open = longer
    else {
      lines.push(open)
      open = word
    }
  }
  if (open !== '') lines.push(open)
  return lines
}

/** The text, cut with an ellipsis where it is wider than `width` points. */
export function fitText(text: string, face: FontFace, size: number, width: number, fonts: SheetFonts): string {
  if (fonts.width(text, face, size) <= width) return text
  const letters = [...text]
  while (letters.length > 1 && fonts.width(`${letters.join('').trimEnd()}…`, face, size) > width) letters.pop()
  return `${letters.join('').trimEnd()}…`
}

function piecesOf(word: string, fits: (line: string) => boolean): string[] {
  if (fits(word)) return [word]
  const pieces: string[] = []
  let open = ''
  for (const letter of word) {
    if (open !== '' && !fits(open + letter)) {
      pieces.push(open)
      open = ''
    }
    open += letter
  }
  return [...pieces, open]
}
