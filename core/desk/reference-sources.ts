import type { Layer } from '../geo/index.ts'
import type { DeskState } from './state.ts'

export interface ReferenceSource {
  /** The file's name without folder and ending; numbered where two would be the same. */
  readonly name: string
  readonly layer: Layer
}

/** The reference layers of the brief in its order, each under a name of its own. */
export function referenceSources({ brief, gathered }: Pick<DeskState, 'brief' | 'gathered'>): ReferenceSource[] {
  const used = new Map<string, number>()
  return gathered.reference.map((layer, i) => {
    const path = brief.layers.reference[i]?.path ?? layer.name
    const stem = path.replace(/^.*[/\\]/, '').replace(/\.[^.]*$/, '') || layer.name
    const count = (used.get(stem) ?? 0) + 1
    used.set(stem, count)
    return { name: count === 1 ? stem : `${stem} ${count}`, layer }
  })
}
