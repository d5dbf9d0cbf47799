import { type ParseError, parse, printParseErrorCode } from 'jsonc-parser'
import { InputError } from '../../model/problem.ts'

/** V8 cannot hold a longer text. */
const LONGEST_TEXT = 500e6

/** A JSON value from text. Errors: InputError with line and column of the first fault. */
export function parseJsonText(file: string, text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    const { line, column, fault } = findJsonFault(text)
    throw new InputError({
      code: 'json-invalid',
      file,
      row: line,
      reason: `The text is not valid JSON at line ${line}, column ${column}: ${fault}`,
      remedy: 'The file may be cut off; export it again.',
    })
  }
}

export function checkTextLength(file: string, bytes: Uint8Array): void {
  if (bytes.length <= LONGEST_TEXT) return
  throw new InputError({
    code: 'file-too-large',
    file,
    reason: `The file has ${Math.round(bytes.length / 1e6)} MB; a text of over ${LONGEST_TEXT / 1e6} MB cannot be read at once`,
    remedy: 'Split it, or save it as a zipped Shapefile.',
  })
}

function findJsonFault(text: string): { line: number; column: number; fault: string } {
  const errors: ParseError[] = []
  try {
    parse(text, errors, { disallowComments: true, allowTrailingComma: false })
  } catch {
    // Nested too deeply for the second parser; the place stays unknown.
  }
  const offset = errors[0]?.offset ?? text.length
  const before = text.slice(0, offset).split('\n')
  const words = errors[0] ? printParseErrorCode(errors[0].error) : 'it ends too early'
  const fault = words.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase()
  return { line: before.length, column: before.at(-1)!.length + 1, fault }
}

/** Whether lists and objects are nested deeper than `limit`; it looks no deeper than that itself, so that no depth can harm. */
export function isNestedDeeper(value: unknown, limit: number): boolean {
  if (value === null || typeof value !== 'object') return false
  if (limit < 0) return true
  if (!Array.isArray(value)) return Object.values(value).some(inner => isNestedDeeper(inner, limit - 1))
  for (let i = 0; i < value.length; i++) {
    // Most of what there is are numbers: a call for each would be most of the time.
    if (typeof value[i] === 'object' && isNestedDeeper(value[i], limit - 1)) return true
  }
  return false
}
