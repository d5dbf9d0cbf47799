/**
 * Tables of a project file: those that OGC GeoPackage 1.3 asks for, and ours beside them as a registered extension.
 * Source: OGC 12-128r17, GeoPackage Encoding Standard 1.3 (2021), clauses 1.1, 2.1, 2.3 and annexes C and D.
 */
export const APPLICATION_ID = 0x47504b47
export const USER_VERSION = 10300
/** Of our own tables; raised when they change. */
export const PROJECT_FORMAT = 1
export const EXTENSION_NAME = 'vinereach_project'

export const OWN_TABLES = [
  'vinereach_format',
  'vinereach_layers',
  'vinereach_columns',
  'vinereach_documents',
  'vinereach_runs',
  'vinereach_run_inputs',
  'vinereach_run_warnings',
] as const

export const GPKG_TABLES = [
  'gpkg_spatial_ref_sys',
  'gpkg_contents',
  'gpkg_geometry_columns',
  'gpkg_extensions',
] as const

export const SCHEMA = `
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT
);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);
CREATE TABLE gpkg_extensions (
  table_name TEXT,
  column_name TEXT,
  extension_name TEXT NOT NULL,
  definition TEXT NOT NULL,
  scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name)
);
CREATE TABLE vinereach_format (
  version INTEGER NOT NULL PRIMARY KEY,
  data_date TEXT NOT NULL
);
CREATE TABLE vinereach_runs (
  position INTEGER NOT NULL PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  parameters TEXT NOT NULL,
  software_version TEXT NOT NULL,
  data_date TEXT NOT NULL
);
CREATE TABLE vinereach_run_inputs (
  position INTEGER NOT NULL PRIMARY KEY,
  run_id TEXT NOT NULL REFERENCES vinereach_runs(id),
  name TEXT NOT NULL,
  sha256 TEXT NOT NULL
);
CREATE TABLE vinereach_run_warnings (
  position INTEGER NOT NULL PRIMARY KEY,
  run_id TEXT NOT NULL REFERENCES vinereach_runs(id),
  warning TEXT NOT NULL
);
CREATE TABLE vinereach_layers (
  position INTEGER NOT NULL PRIMARY KEY,
  table_name TEXT NOT NULL UNIQUE REFERENCES gpkg_contents(table_name),
  name TEXT NOT NULL,
  identifier TEXT NOT NULL,
  role TEXT NOT NULL,
  kind TEXT NOT NULL,
  crs TEXT,
  crs_source TEXT NOT NULL,
  encoding TEXT,
  run_id TEXT REFERENCES vinereach_runs(id),
  source_row_column TEXT
);
CREATE TABLE vinereach_columns (
  position INTEGER NOT NULL PRIMARY KEY,
  table_name TEXT NOT NULL REFERENCES vinereach_layers(table_name),
  column_name TEXT NOT NULL,
  name TEXT NOT NULL,
  type TEXT NOT NULL
);
CREATE TABLE vinereach_documents (
  position INTEGER NOT NULL PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  json TEXT NOT NULL
);
`

/** The definition that the extension's row points to. */
export const EXTENSION_DEFINITION =
  'Vinereach project tables. vinereach_layers and vinereach_columns tell where each feature table came from and the ' +
  'names of its columns there; vinereach_runs, vinereach_run_inputs and vinereach_run_warnings tell which parameters ' +
  'and inputs (SHA-256) made the results of a run_id; vinereach_documents holds settings and answers as JSON.'

const WGS84_WKT =
  'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],' +
  'AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],' +
  'UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AXIS["Latitude",NORTH],AXIS["Longitude",EAST],' +
  'AUTHORITY["EPSG","4326"]]'

/** Rows of gpkg_spatial_ref_sys: the three that requirement 11 asks for. */
export const REFERENCE_SYSTEMS = [
  ['Undefined Cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined Cartesian coordinate reference system'],
  ['Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'],
  ['WGS 84 geodetic', 4326, 'EPSG', 4326, WGS84_WKT, 'longitude/latitude in degrees on the WGS 84 ellipsoid'],
] as const
