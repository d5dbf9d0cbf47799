/** The part of geos-wasm 3.1.1 (GEOS 3.13) that is used here. Numbers are addresses in its memory. */
declare module 'geos-wasm' {
  export interface Geos {
    readonly Module: {
      readonly HEAPU8: Uint8Array
      _malloc(bytes: number): number
      _free(address: number): void
      getValue(address: number, type: 'i32'): number
    }
    /** Handle of the one context of the engine. */
    readonly _ctx: number
    /** 0 as the handler turns notices off; by default they go to the console. */
    GEOSContext_setNoticeMessageHandler_r(context: number, handler: number, data: number): number
    GEOSGeomFromWKB_buf(address: number, size: number): number
    /** Gives an address that must be freed by GEOSFree; the size goes to `sizeAddress`. */
    GEOSGeomToWKB_buf(geometry: number, sizeAddress: number): number
    GEOSFree(address: number): void
    GEOSGeom_destroy(geometry: number): void
    GEOSUnaryUnion(geometry: number): number
    GEOSIntersection(a: number, b: number): number
    GEOSDifference(a: number, b: number): number
    GEOSBuffer(geometry: number, width: number, quadrantSegments: number): number
    GEOSisValid(geometry: number): number
    GEOSMakeValid(geometry: number): number
    GEOSLineMerge(geometry: number): number
  }
  /** One engine a process: later calls give the first one. Hangs for ever where WebAssembly is blocked. */
  export default function initGeosJs(): Promise<Geos>
}
