import { type Column, GEOMETRY_KIND, type Geometry, type GeometryKind, type Layer } from './layer.ts'

/** Grows the columns of a geometry feature by feature; for readers. */
export class GeometryBuilder {
  #coords = new Float64Array(1024)
  #used = 0
  #rings: number[] = [0]
  #parts: number[] = [0]
  #features: number[] = [0]
  #kinds: number[] = []

  addVertex(x: number, y: number): void {
    if (this.#used + 2 > this.#coords.length) {
      const wider = new Float64Array(this.#coords.length * 2)
      wider.set(this.#coords)
      this.#coords = wider
    }
    this.#coords[this.#used++] = x
    this.#coords[this.#used++] = y
  }

  /** Ends the ring or path whose vertices were added since the last end. */
  endRing(): void {
    this.#rings.push(this.#used / 2)
  }

  /** Ends the part whose rings were added since the last end. */
  endPart(): void {
    this.#parts.push(this.#rings.length - 1)
  }

  /** Ends the feature whose parts were added since the last end; one without parts has no geometry. */
  endFeature(kind: GeometryKind): void {
    this.#features.push(this.#parts.length - 1)
    const hasParts = this.#features.at(-1)! > this.#features.at(-2)!
    this.#kinds.push(hasParts ? GEOMETRY_KIND.indexOf(kind) : 0)
  }

  addPoint(x: number, y: number): void {
    this.addVertex(x, y)
    this.endRing()
    this.endPart()
    this.endFeature('point')
  }

  get featureCount(): number {
    return this.#kinds.length
  }

  /** Forgets what was added since the last whole feature, so that a bad row leaves no trace. */
  dropUnfinishedFeature(): void {
    const parts = this.#features.at(-1)!
    this.#parts.length = parts + 1
    this.#rings.length = this.#parts.at(-1)! + 1
    this.#used = this.#rings.at(-1)! * 2
  }

  build(): Geometry {
    return {
      coords: this.#coords.slice(0, this.#used),
      rings: Uint32Array.from(this.#rings),
      parts: Uint32Array.from(this.#parts),
      features: Uint32Array.from(this.#features),
      kinds: Uint8Array.from(this.#kinds),
    }
  }
}

/** What the kinds of the features say of the layer as a whole. */
export function layerKind(geometry: Geometry): Layer['kind'] {
  const present = new Set(geometry.kinds)
  present.delete(0)
  if (present.size === 0) return 'none'
  return present.size > 1 ? 'mixed' : GEOMETRY_KIND[[...present][0]!]!
}

/** A layer without attributes from its geometry; for results and tests. */
export function layerOf(name: string, geometry: Geometry, crs: string | null, columns: readonly Column[] = []): Layer {
  const featureCount = geometry.kinds.length
  return {
    name,
    kind: layerKind(geometry),
    featureCount,
    geometry,
    crs,
    crsSource: crs === null ? 'none' : 'file',
    columns,
    rows: Uint32Array.from({ length: featureCount }, (_, i) => i + 1),
    encoding: null,
  }
}
