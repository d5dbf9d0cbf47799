/// <reference path="./geos-wasm.d.ts" />
import type { Geos } from 'geos-wasm'
import type { MultiPath, MultiPolygon } from '../model/geometry.ts'
import { normalPaths, normalPolygons } from './normal-order.ts'
import type { PolygonEngine } from './polygon-engine.ts'
import { readWkb, type WkbContent, writePathsWkb, writePolygonsWkb } from './wkb.ts'

/** Where WebAssembly is blocked the library's start never ends. */
const START_LIMIT_MS = 10_000

/**
 * The polygon engine over GEOS 3.13 in WebAssembly.
 * Errors: a plain Error when it does not start within ten seconds, and with GEOS's own words when an operation fails.
 */
export async function createPolygonEngine(): Promise<PolygonEngine> {
  const start = import('geos-wasm').then(library => {
    // The package's own declarations join ours and leave out the context.
    return library.default() as unknown as Promise<Geos>
  })
  const race: { timer?: ReturnType<typeof setTimeout> } = {}
  const limit = new Promise<never>((_, reject) => {
    const fail = () => reject(new Error('The polygon engine did not start in 10 s; WebAssembly may be blocked here'))
    race.timer = setTimeout(fail, START_LIMIT_MS)
  })
  try {
    return engineOver(await Promise.race([start, limit]))
  } finally {
    // A timer left behind would keep a batch process alive.
    clearTimeout(race.timer)
  }
}

function engineOver(geos: Geos): PolygonEngine {
  // Notices go to the console otherwise, that is into the output of a batch command.
  geos.GEOSContext_setNoticeMessageHandler_r(geos._ctx, 0, 0)
  const polygons = (scope: GeosScope, shape: MultiPolygon) => scope.take(writePolygonsWkb(finite(shape)))
  const paths = (scope: GeosScope, lines: MultiPath) => scope.take(writePathsWkb(drawable(lines)))
  const area = (run: (scope: GeosScope) => number): MultiPolygon =>
    inScope(geos, scope => normalPolygons(scope.give(run(scope)).polygons))

  return {
    union: shapes => area(scope => scope.keep(geos.GEOSUnaryUnion(polygons(scope, shapes.flat())))),
    intersection: (a, b) => area(scope => scope.keep(geos.GEOSIntersection(polygons(scope, a), polygons(scope, b)))),
    difference: (a, b) => area(scope => scope.keep(geos.GEOSDifference(polygons(scope, a), polygons(scope, b)))),
    buffer: (shape, distance, segments) =>
      area(scope => scope.keep(geos.GEOSBuffer(polygons(scope, shape), finiteNumber(distance), segments))),
    bufferPaths: (lines, distance, segments) =>
      area(scope => scope.keep(geos.GEOSBuffer(paths(scope, lines), finiteNumber(distance), segments))),
    clipPaths: (lines, shape) =>
      inScope(geos, scope => {
        const cutter = polygons(scope, shape)
        const pieces = drawable(lines).flatMap(line => {
          const clipped = scope.keep(geos.GEOSIntersection(paths(scope, [line]), cutter))
          // GEOS breaks a path wherever it touches itself; merging leaves only the breaks where it crosses itself.
          return scope.give(scope.keep(geos.GEOSLineMerge(clipped))).paths
        })
        return normalPaths(pieces)
      }),
    isValid: shape => inScope(geos, scope => geos.GEOSisValid(polygons(scope, shape)) === 1),
    makeValid: shape => area(scope => scope.keep(geos.GEOSMakeValid(polygons(scope, shape)))),
    heapBytes: () => geos.Module.HEAPU8.length,
  }
}

/** Frees everything that it took or kept, whatever happens. */
class GeosScope {
  readonly #geos: Geos
  readonly #geometries: number[] = []

  constructor(geos: Geos) {
    this.#geos = geos
  }

  /** A GEOS geometry from well-known binary. */
  take(wkb: Uint8Array): number {
    const { Module } = this.#geos
    const address = Module._malloc(wkb.length)
    if (address === 0) throw new Error(`The polygon engine has no room for ${wkb.length} bytes`)
    try {
      Module.HEAPU8.set(wkb, address)
      return this.keep(this.#geos.GEOSGeomFromWKB_buf(address, wkb.length))
    } finally {
      Module._free(address)
    }
  }

  /** Notes a geometry for freeing; 0 is GEOS's way of saying that it failed. */
  keep(geometry: number): number {
    if (geometry === 0) throw new Error('The polygon engine gave no result')
    this.#geometries.push(geometry)
    return geometry
  }

  /** Plain data out of a GEOS geometry. */
  give(geometry: number): WkbContent {
    const { Module } = this.#geos
    const sizeAddress = Module._malloc(4)
    let address = 0
    try {
      address = this.#geos.GEOSGeomToWKB_buf(geometry, sizeAddress)
      const size = Module.getValue(sizeAddress, 'i32')
      return readWkb(Module.HEAPU8.slice(address, address + size))
    } finally {
      if (address !== 0) this.#geos.GEOSFree(address)
      Module._free(sizeAddress)
    }
  }

  free(): void {
    for (const geometry of this.#geometries) this.#geos.GEOSGeom_destroy(geometry)
    this.#geometries.length = 0
  }
}

function inScope<T>(geos: Geos, run: (scope: GeosScope) => T): T {
  const scope = new GeosScope(geos)
  try {
    return run(scope)
  } finally {
    scope.free()
  }
}

/** GEOS answers infinity with an empty polygon and no error, so coordinates are looked at first. */
function finite(shape: MultiPolygon): MultiPolygon {
  for (const polygon of shape) {
    for (const ring of polygon) checkFinite(ring)
  }
  return shape
}

/** Paths of at least two vertices; GEOS refuses a line of one. */
function drawable(paths: MultiPath): MultiPath {
  for (const path of paths) checkFinite(path)
  return paths.filter(path => path.length >= 4)
}

function checkFinite(coords: Float64Array): void {
  for (let i = 0; i < coords.length; i++) {
    if (!Number.isFinite(coords[i]!)) throw new Error(`Coordinate ${coords[i]} of vertex ${i >> 1} is not finite`)
  }
}

function finiteNumber(value: number): number {
  if (!Number.isFinite(value)) throw new Error(`Distance ${value} is not finite`)
  return value
}
