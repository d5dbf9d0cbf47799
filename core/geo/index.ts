export type { WorkingFrame } from './frame.ts'
export {
  type Column,
  columnValue,
  findColumn,
  GEOMETRY_KIND,
  type Geometry,
  type GeometryKind,
  geometryBounds,
  type Layer,
} from './layer.ts'
export { GeometryBuilder, layerKind, layerOf } from './layer-builder.ts'
export type { PolygonEngine } from './polygon-engine.ts'
