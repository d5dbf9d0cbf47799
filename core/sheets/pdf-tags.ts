/// <reference path="./pdfkit.d.ts" />
import type PDFDocument from 'pdfkit'
import type { PdfStructure } from 'pdfkit'
import type { GroupOperator, Operator, SheetTag } from './display-list.ts'

/** Roles that hold other tagged things and no content of their own. Source: ISO 32000-2:2020, 14.8.4.8 (tables). */
const HOLDERS: ReadonlySet<SheetTag['role']> = new Set(['Table', 'TR'])

/** Writes tagged groups into the document's structure, and everything else as artifacts that readers skip. */
export interface Tagger {
  /** Items of a page or of a holder. */
  write(items: readonly Operator[]): void
  /** Hangs the structure into the document; once, when all is written. */
  end(): void
}

/** Source: ISO 32000-2:2020, 14.6 to 14.8 (marked content, logical structure, tagged PDF). */
export function createTagger(document: PDFDocument, writeItem: (item: Operator) => void): Tagger {
  const root = document.struct('Document')
  const writeIn = (items: readonly Operator[], parent: PdfStructure) => {
    let isArtifact = false
    const setArtifact = (next: boolean) => {
      if (next && !isArtifact) document.markContent('Artifact')
      if (!next && isArtifact) document.endMarkedContent()
      isArtifact = next
    }
    for (const item of items) {
      const isTagged = item.op === 'group' && item.tag !== undefined
      setArtifact(!isTagged)
      if (isTagged) writeTagged(item, item.tag!, parent)
      else writeItem(item)
    }
    setArtifact(false)
  }
  const writeTagged = (group: GroupOperator, tag: SheetTag, parent: PdfStructure) => {
    const element = document.struct(tag.role, tag.alt === undefined ? {} : { alt: tag.alt })
    parent.add(element)
    if (HOLDERS.has(tag.role)) writeIn(group.items, element)
    else {
      const content = document.markStructureContent(tag.role)
      writeItem(group)
      document.endMarkedContent()
      element.add(content)
    }
    element.end()
  }
  return {
    write: items => writeIn(items, root),
    end() {
      document.addStructure(root)
      root.end()
    },
  }
}
