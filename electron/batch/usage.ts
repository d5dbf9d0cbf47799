/** Wrong words on the command line: exit status 2. */
export class UsageError extends Error {}

export const USAGE = `vinereach: from volunteer reports of a vine to patches, front, downstream risk and maps

  season BRIEF --out DIR                     the whole job from a brief
  read FILE [--layer NAME]                   what a file holds, as intake sees it
  vet REPORTS [--brief BRIEF]                the checks on reports, one row a finding
  outline REPORTS [--brief BRIEF] --out F.geojson
          [--radius M] [--join M] [--min-reports N] [--method closing|density|discs]
  advance PATCHES [--reports FILE] [--brief BRIEF] --out F.json [--origin LON,LAT] [--step M]
  network LINES --out F.geojson [--snap M] [--node-crossings] [--node-touches] [--direction-field NAME]
          [--id-field NAME] [--outlet LON,LAT]... [--accept REPAIR]...   (--json lists the repairs)
  downstream LINES --sources PATCHES --out F.geojson [--retention M] [--flood-retention M] [--bank M]
          [--bank-scale M] [--propagules N] [--barriers FILE] [--protect FILE] [--trace LON,LAT]
          (--trace: where what settles on the reach there could have come from, ranked, with shares)
  sheet BRIEF ID --out F.pdf|F.svg|F.png     one map sheet
  convert IN OUT [--to-crs EPSG:n]           to GeoJSON, CSV or a zipped Shapefile (.zip)
          [--audience crew|owner|partner|public] [--brief BRIEF] [--owner NAME]
  check PROJECT                              integrity of a project file

  --json prints one JSON object instead of text. Exit status: 0 done, 1 bad input, 2 wrong usage,
  3 done with warnings that change the answer, 130 cancelled.
`
