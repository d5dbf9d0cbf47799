import { z } from 'zod'
import { FILE_KINDS } from './surface.ts'

/** What the page may send, checked at the border; anything else is refused before it is looked at. */
const token = z.string().min(1).max(64)
export const CALL_ARGUMENTS = {
  chooseFile: z.tuple([z.enum(FILE_KINDS)]),
  readFile: z.tuple([token, z.string().min(1).max(4096).optional()]),
  saveFile: z.tuple([z.string().min(1).max(255), z.instanceof(Uint8Array)]),
} as const
