export { describeReading, type LayerDescription, type ReadingDescription } from './describe-reading.ts'
export { FILE_FORMATS, type FileFormat, type FileReading, isAnswerChanged, type ReadOptions } from './file-reading.ts'
export { boundsOnGlobe } from './globe-bounds.ts'
export { type DecidedDateFormat, decideDateFormat, findDateFormat, hasTimePart, parseDate } from './parse-date.ts'
export { prjTextOf } from './prj-text.ts'
export { readFile } from './read-file.ts'
export {
  makeReportIdsUnique,
  type ReportsOptions,
  type ReportsReading,
  readReports,
} from './read-reports.ts'
export { REPORT_FIELDS, type ReportField } from './report-fields.ts'
export { shapefileOfFeatures } from './shapefile-of-features.ts'
export { type CsvColumn, csvColumnsOf, writeCsv } from './write-csv.ts'
export {
  featuresOfLayer,
  type JsonValue,
  type WritableCollection,
  type WritableFeature,
  type WritableGeometry,
  writeGeoJson,
} from './write-geojson.ts'
export { type ShapefileField, type ShapefileLayer, type ShapefileShape, writeShapefile } from './write-shapefile.ts'
