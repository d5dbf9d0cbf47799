export { type BoundaryIndex, indexBoundary } from './boundary-index.ts'
export {
  CHORD_ERROR,
  CircleGrid,
  type Circles,
  type Closing,
  type ClosingEngine,
  type ClosingOptions,
  createArcsClosing,
  createGeosClosing,
  DisjointSets,
  groupCircles,
  type LayeredAreas,
  measureLayers,
} from './closing/index.ts'
export {
  type Crs,
  findCrs,
  isGeographic,
  listCrs,
  projectionOf,
} from './crs-table.ts'
export { type CrsFromText, parseCrsText } from './crs-text.ts'
export type { WorkingFrame } from './frame.ts'
export { gridConvergence, pointScale } from './frame-scale.ts'
export {
  azimuthBetween,
  destination,
  type LayerMeasure,
  measureArea,
  measureDistance,
  measureLayer,
  measurePathLength,
  measureRingArea,
} from './geodesic.ts'
export { formatGridReference, parseGridReference } from './grid-reference.ts'
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
export { projectLayerToGlobe } from './layer-projection.ts'
export {
  featureKind,
  geometryFromPaths,
  geometryFromPoints,
  geometryFromPolygons,
  multiPathOf,
  multiPolygonOf,
  pointsOf,
} from './layer-shapes.ts'
export { normalPaths, normalPolygons } from './normal-order.ts'
export { isPlainlySimple, type Overlap, prepareOverlap } from './overlap-area.ts'
export {
  boxOf,
  boxOfPaths,
  distanceToBoundary,
  distanceToPath,
  distanceToShape,
  findNearestOnPath,
  isInside,
  mapVertices,
  type PathPlace,
  planarArea,
  planarLength,
  polygonsMeeting,
  signedDistance,
  signedRingArea,
  toGlobePath,
  toGlobePaths,
  toGlobePolygons,
  toPlanePath,
  toPlanePaths,
  toPlanePolygons,
} from './planar.ts'
export { createAreaScale, createPlaneAreas } from './plane-area.ts'
export type { PolygonEngine } from './polygon-engine.ts'
export { createPolygonEngine } from './polygon-engine-geos.ts'
export type { Projection } from './projection.ts'
export { type BoxIndex, createBoxIndex } from './spatial-index.ts'
export { longitudeWithin } from './transverse-mercator.ts'
export { positionFromUtm, type UtmPlace, utmFromPosition, utmZone } from './utm.ts'
export { readWkb, WKB, type WkbContent, WkbWriter, writePathsWkb, writePolygonsWkb } from './wkb.ts'
export { chooseWorkingFrame, frameFromCrs, utmFrame } from './working-frame.ts'
