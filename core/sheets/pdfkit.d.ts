/** The part of pdfkit 0.20 that sheets use, declared by us: its published types pull in node's. */
declare module 'pdfkit' {
  export interface PdfReference {
    readonly data: Record<string, unknown>
    end(): void
  }
  export interface PdfGlyphPosition {
    readonly xAdvance: number
    readonly advanceWidth: number
  }
  export interface PdfFont {
    readonly id: string
    readonly ascender: number
    readonly descender: number
    readonly font: { hasGlyphForCodePoint(code: number): boolean }
    layoutCache: object
    widthOfString(text: string, size: number): number
    encode(text: string): [hex: string[], positions: PdfGlyphPosition[]]
    ref(): PdfReference
  }
  export type EmbeddedFontClass = new (document: PDFDocument, font: PdfFont['font'], id: string) => PdfFont
  export interface PdfPattern {
    readonly id: string
    embed(): void
    embedPatternColorSpaces(): void
  }
  export interface PdfMarkedContent {
    readonly refs: readonly unknown[]
  }
  export interface PdfStructure {
    add(child: PdfStructure | PdfMarkedContent): this
    end(): void
  }
  export default class PDFDocument {
    constructor(options: Record<string, unknown>)
    push(chunk: Uint8Array | null): boolean
    readonly page: {
      readonly fonts: Record<string, PdfReference>
      readonly resources: PdfReference
      readonly dictionary: PdfReference
    }
    readonly _root: PdfReference
    readonly _font: PdfFont
    readonly _fontFamilies: Record<string, PdfFont>
    addPage(options: Record<string, unknown>): this
    addContent(operators: string): this
    struct(role: string, options?: { readonly alt?: string }): PdfStructure
    addStructure(root: PdfStructure): this
    markContent(tag: string): this
    markStructureContent(role: string): PdfMarkedContent
    endMarkedContent(): this
    registerFont(name: string, bytes: Uint8Array): this
    font(name: string): this
    pattern(box: readonly number[], xStep: number, yStep: number, stream: string): PdfPattern
    ref(data: unknown): PdfReference
    end(): void
  }
}
