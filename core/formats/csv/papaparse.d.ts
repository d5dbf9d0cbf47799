/** The part of papaparse that is used, on text; its own types pull in node and the DOM. */
declare module 'papaparse' {
  interface ParseFault {
    readonly type: string
    readonly code: string
    readonly message: string
    readonly row?: number
  }
  interface ParseSettings {
    readonly delimiter: string
    readonly header: false
    readonly dynamicTyping: false
    readonly skipEmptyLines: false
    /** Stop after this many records. */
    readonly preview?: number
  }
  interface Papa {
    parse(text: string, settings: ParseSettings): { readonly data: string[][]; readonly errors: readonly ParseFault[] }
  }
  const papa: Papa
  export default papa
}
