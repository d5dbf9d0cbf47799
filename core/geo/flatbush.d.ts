/** The part of flatbush 4.7.0 that is used here. */
declare module 'flatbush' {
  export default class Flatbush {
    constructor(numItems: number, nodeSize?: number, ArrayType?: Float64ArrayConstructor)
    add(minX: number, minY: number, maxX: number, maxY: number): number
    finish(): void
    search(minX: number, minY: number, maxX: number, maxY: number): number[]
    neighbors(x: number, y: number, maxResults?: number, maxDistance?: number): number[]
  }
}
