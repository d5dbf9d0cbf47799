/**
 * The few globals that core uses and that every host of it has (Node, a worker, a browser).
 * Core compiles without the node and DOM libraries, so that nothing else of a host can creep in.
 */
declare class TextDecoder {
  constructor(label?: string, options?: { fatal?: boolean; ignoreBOM?: boolean })
  readonly encoding: string
  decode(input?: Uint8Array | ArrayBuffer, options?: { stream?: boolean }): string
}
declare class TextEncoder {
  encode(input?: string): Uint8Array<ArrayBuffer>
}
declare function setTimeout(handler: () => void, timeout?: number): unknown
declare function clearTimeout(handle: unknown): void
